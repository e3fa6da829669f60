"""Attempts, sheets, events, permits, the sync protocol and the tablet page. Not how an outcome is decided."""
