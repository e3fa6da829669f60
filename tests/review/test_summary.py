"""The line under the outcome, for each way an attempt can end."""

from __future__ import annotations

from typing import Any

import pytest

from checkoffs.review.summary import sentence, spelled

SNAPSHOT: dict[str, Any] = {
    "attempt": {"no_show": False},
    "decision": {"outcome": "unsatisfactory", "time": {"counted_ms": 1_390_999, "limit_ms": 1_500_000}},
    "rule": {"pairs": [{"id": "p1"}]},
}


def miss(key: str, *, critical: bool = True) -> dict[str, Any]:
    return {"key": key, "critical": critical, "decides": True}


@pytest.mark.parametrize(
    ("missed", "begins"),
    [
        ([miss("step:a")], "One critical step decided it. 3 of 4 steps done as asked, order kept, 23:10 of 25:00."),
        ([miss("step:a"), miss("limit:whole", critical=False)], "Two things decided it. 3 of 4"),
        ([miss("pair:p1")], "One thing decided it. 3 of 4 steps done as asked, 23:10"),
        ([], "The rule was not met. 3 of 4"),
    ],
)
def test_unsatisfactory(missed: list[dict[str, Any]], begins: str) -> None:
    assert sentence(SNAPSHOT, missed, 3, 4).startswith(begins)


def test_without_a_limit_or_without_times() -> None:
    free = SNAPSHOT | {"decision": {"outcome": "satisfactory", "time": {"counted_ms": 60_000, "limit_ms": None}}}
    assert sentence(free, [], 4, 4) == "The rule was met. 4 of 4 steps done as asked, order kept, 1:00."
    paper = SNAPSHOT | {"decision": {"outcome": "satisfactory", "time": {"counted_ms": None, "limit_ms": 1}}}
    assert sentence(paper, [], 4, 4) == "The rule was met. 4 of 4 steps done as asked, order kept."


def test_ended_by_the_lab_and_no_show() -> None:
    lab = SNAPSHOT | {"decision": {"outcome": "void", "time": {}}}
    assert sentence(lab, [], 0, 4) == "The lab ended the attempt; it does not count."
    assert "nobody came" in sentence(SNAPSHOT | {"attempt": {"no_show": True}}, [], 0, 0)


def test_small_numbers_are_words() -> None:
    assert (spelled(2), spelled(12), spelled(13)) == ("two", "twelve", "13")
