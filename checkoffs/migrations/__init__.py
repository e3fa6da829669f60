"""One history of the tables of all rooms."""
