"""What stands in the way of a next attempt, in words and days."""

from __future__ import annotations

from datetime import date

import pytest

from checkoffs.review.plan import LONGEST, leave, tasks

DAY, AFTER = date(2026, 10, 14), "Thu 15 Oct 2026"


@pytest.mark.parametrize(
    ("open_tasks", "may", "words"),
    [
        ([], True, "Attempt 2 was unsatisfactory; the next one is not before Thu 15 Oct 2026."),
        (["a"], False, "Attempt 2 was unsatisfactory: 1 task is still to be confirmed; not before Thu 15 Oct 2026."),
        (
            ["a", "b"],
            False,
            "Attempt 2 was unsatisfactory: 2 tasks are still to be confirmed; not before Thu 15 Oct 2026.",
        ),
    ],
)
def test_after_an_unsatisfactory_attempt(open_tasks: list[str], may: bool, words: str) -> None:
    found = leave("unsatisfactory", 2, DAY, open_tasks, AFTER)
    assert (found.may, found.not_before, found.because) == (may, date(2026, 10, 15), words)


@pytest.mark.parametrize("outcome", ["satisfactory", "void", ""])
def test_nothing_stands_in_the_way_otherwise(outcome: str) -> None:
    found = leave(outcome, 1, DAY, ["a"], AFTER)
    assert (found.may, found.not_before, found.because) == (True, None, "")


@pytest.mark.parametrize(
    ("key", "begins"),
    [
        ("pair:p1", "Practise the order."), ("gap:g1", "Practise the order."),
        ("breach:s18", "Practise without a break"),
        ("limit:whole", "Practise the whole against the clock"), ("score_below", "Practise every step"),
        ("prompts_exceeded", "Do the whole once without a prompt"), ("safety_stop", "Talk with an instructor"),
        ("stopped", "Do the whole once to its end"), ("discrepancy_missed", "Practise checking the order"),
    ],
)  # fmt: skip
def test_every_kind_of_miss_becomes_something_to_do(key: str, begins: str) -> None:
    miss = {"key": key, "step": None, "number": None, "title": "x" * 400, "decides": True}
    review = {"outcome": "unsatisfactory", "practice": False, "values": [], "missed": [miss]}
    (task,) = tasks(review)
    assert task.text.startswith(begins)
    assert task.required
    assert max(len(task.text), len(task.detail)) <= LONGEST
