"""Lives here: a procedure's rule and an attempt's event log, and the pure fold from them to an outcome.

Does not live here: storage, pages, calculations of infusion values, any clock and any randomness.
"""
