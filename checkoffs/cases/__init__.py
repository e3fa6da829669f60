"""Case templates, drawn cases and their frozen answer keys. The arithmetic itself is in calculators."""
