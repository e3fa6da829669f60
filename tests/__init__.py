"""Tests mirror the code file for file."""
