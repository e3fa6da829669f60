"""Pages of the days room: those of the day itself, and those that plan it."""
