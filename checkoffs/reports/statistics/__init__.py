"""Pure figures: rates with intervals, pass rates, miss rates. No database, no words for people beyond codes."""
