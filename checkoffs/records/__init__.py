"""Lives here: a finished attempt's way to a sealed record and its PDF, amendments, voids, verification.

Does not live here: deciding the outcome, and what a student should do about it.
"""
