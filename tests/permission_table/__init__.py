"""One module a room: which kind of person gets which status at each URL name."""
