"""How many pass at the first attempt, and how many in the end. A student counts once."""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from dataclasses import dataclass

from checkoffs.reports.statistics.intervals import Rate, wilson


@dataclass(frozen=True)
class Tried:
    """One counting attempt: whose, which one by number, and whether it was satisfactory."""

    student: Hashable
    number: int
    passed: bool


@dataclass(frozen=True)
class Passing:
    """first: passed at the first counting attempt; ever: passed at any; both of the students who tried."""

    first: Rate
    ever: Rate
    attempts: int


def passing(tried: Iterable[Tried], level: float = 0.95) -> Passing:
    """Rates of students, not of attempts: attempts of one student are not independent."""
    listed = list(tried)
    first: dict[Hashable, Tried] = {}
    ever: dict[Hashable, bool] = {}
    for one in listed:
        if one.student not in first or one.number < first[one.student].number:
            first[one.student] = one
        ever[one.student] = ever.get(one.student, False) or one.passed
    return Passing(
        wilson(sum(one.passed for one in first.values()), len(first), level),
        wilson(sum(ever.values()), len(ever), level),
        len(listed),
    )
