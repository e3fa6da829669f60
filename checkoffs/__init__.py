"""The web application: one Django app whose rooms follow a checkoff from people to reports; no formulas here."""
