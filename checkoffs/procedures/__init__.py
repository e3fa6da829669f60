"""Procedures as versioned step lists with their rule: reading, editing, checking, publishing. Not cases, not attempts."""
