"""Rule and event log to outcome, pure: fold, decide, explain. No Django, no clock, no randomness, no formulas of drugs."""
