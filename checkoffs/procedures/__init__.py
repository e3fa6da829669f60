"""Procedures as versioned step lists with their rule: read, edited, checked, published. Not cases, not attempts."""
