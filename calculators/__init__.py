"""Infusion arithmetic, exactly: rates, doses, volumes, times and drops, their working, and what a wrong answer means.

Nothing here knows people, procedures or the web: callers hand in texts with units and get texts back.

    calculators.solve(request)                  one problem, as on the command line; errors come back as data
    calculators.answer_key(check)               what a case expects, accepts, and what each slip would give
    calculators.verify(key, number, unit)       the verdict on what a student said
    calculators.CalculationError                raised by answer_key: code, field, message
"""

from calculators.asking import solve
from calculators.errors import CalculationError
from calculators.keys import answer_key
from calculators.limits import GENERAL as CAUTION
from calculators.verdicts import verify

# The version of the rules: it is frozen with every key and verdict, and rises when any answer could differ.
VERSION = "1.0"

__all__ = ["CAUTION", "VERSION", "CalculationError", "answer_key", "solve", "verify"]
