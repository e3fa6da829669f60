"""Tags that templates of every room share."""
