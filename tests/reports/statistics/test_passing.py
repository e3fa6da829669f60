"""First attempt and eventually: counted by hand on a class of five."""

from __future__ import annotations

from checkoffs.reports.statistics.passing import Tried, passing

# ann passes at once; bo at the second; cy never; di at the third attempt by number, given out of order
CLASS = [
    Tried("ann", 1, True),
    Tried("bo", 1, False), Tried("bo", 2, True),
    Tried("cy", 1, False), Tried("cy", 2, False),
    Tried("di", 3, True), Tried("di", 2, False),
]  # fmt: skip


def test_students_count_once() -> None:
    found = passing(CLASS)
    assert (found.first.hits, found.first.n) == (1, 4)
    assert (found.ever.hits, found.ever.n) == (3, 4)
    assert found.attempts == 7


def test_a_later_failure_does_not_take_a_pass_back() -> None:
    found = passing([Tried("ann", 1, True), Tried("ann", 2, False)])
    assert (found.first.hits, found.ever.hits) == (1, 1)


def test_nobody_tried() -> None:
    assert not passing([]).first.computable
