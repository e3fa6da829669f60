"""The list of a record: numbers run through all sections, failed steps are the ones that decided."""

from __future__ import annotations

from checkoffs.records import paper_steps
from tests.records import documents


def test_numbers_run_through_the_list() -> None:
    numbers = paper_steps.numbers(documents.record())
    assert sorted(numbers.values()) == list(range(1, len(numbers) + 1))


def test_failed_steps_are_those_that_decided() -> None:
    snapshot = documents.record()
    numbers = paper_steps.numbers(snapshot)
    assert {numbers[step] for step in paper_steps.failed_steps(snapshot["decision"])} == {
        24
    }  # 14 was marked as done; what was stated there was wrong


def test_what_was_moderated_is_said_in_words() -> None:
    rows = paper_steps.moderated(documents.moderated())
    assert rows
    assert all(row["about"] and row["verdict"] and row["reason"] for row in rows)
