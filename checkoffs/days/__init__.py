"""Checkoff days: stations, slots, check-in, who is next. Not what happens inside an attempt."""
