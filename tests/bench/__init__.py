"""Timings, as ratios against a floor measured in the same run; never part of the tests."""
