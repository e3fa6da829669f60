"""Infusion arithmetic, exactly: rates, doses, volumes, times and drops, their working, and what a wrong answer means.

Nothing here knows people, procedures or the web: callers hand in texts with units and get texts back.

    calculators.solve(request)                 one problem, as on the command line; errors come back as data
    calculators.answer_key(check)              what a case expects, accepts, and what each slip would give
    calculators.verify(key, number, unit)      the verdict on what a student said
    calculators.draw(fields, checks, source)   numbers for a case that keep the slips apart
    calculators.clashes(key)                   slips that one stated number could mean
    calculators.problem(kind, source)          an everyday practice problem; PROBLEMS names the kinds
    calculators.titration(first, last, by, given, rounding)         the rows of a titration table
    calculators.new_bag, bolus_and_continuous, piggyback (request)  problems of two parts, errors as data
    calculators.CalculationError               raised by answer_key, draw, problem, titration: code, field, message
"""

from calculators.asking import solve
from calculators.combined import bolus_and_continuous, new_bag, piggyback
from calculators.drawing import PROBLEMS, clashes, draw, problem
from calculators.errors import CalculationError
from calculators.keys import answer_key
from calculators.limits import GENERAL as CAUTION
from calculators.tables import titration
from calculators.verdicts import verify

# The version of the rules: it is frozen with every key and verdict, and rises when any answer could differ.
VERSION = "1.0"

__all__ = [
    "CAUTION",
    "PROBLEMS",
    "VERSION",
    "CalculationError",
    "answer_key",
    "bolus_and_continuous",
    "clashes",
    "draw",
    "new_bag",
    "piggyback",
    "problem",
    "solve",
    "titration",
    "verify",
]
