"""Tests of the records room's pages."""
