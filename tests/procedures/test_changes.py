"""What changed, in words."""

from __future__ import annotations

from copy import deepcopy

from checkoffs.procedures import editing
from checkoffs.procedures.changes import MOST_LINES, changed_words
from tests.procedures.make import ids, pulse


def test_nothing_changed_says_nothing() -> None:
    assert changed_words(pulse(), pulse()) == []


def test_each_kind_of_change_has_its_words() -> None:
    old, steps = pulse(), ids(pulse())
    new = editing.change_step(old, steps[1], critical=False, why="Because")
    new = editing.remove_step(new, steps[4]).content
    new = editing.add_step(new, new["sections"][0]["id"], "n1", "Look at the clock", at=0)
    new = editing.change_section(new, new["sections"][1]["id"], "Beside the bed")
    new["rule"]["identity_required"] = False
    assert changed_words(old, new) == [
        "section renamed: Beside the bed",
        "step added: 1 “Look at the clock”",
        "step removed: 5 “Write the rate down”",
        "step 3 “Confirm name and birth date with the wristband”: why it matters, critical or not",
        "rule: identity check",
    ]


def test_moves_are_said() -> None:
    old, steps = pulse(), ids(pulse())
    assert changed_words(old, editing.shift_step(old, steps[3], -1)) == ["order of steps"]
    moved = changed_words(old, editing.shift_step(old, steps[1], 1))
    assert moved == ["step 2 “Confirm name and birth date with the wristband”: moved to section B"]


def test_long_lists_of_changes_are_counted() -> None:
    new = deepcopy(pulse())
    for number in range(20):
        new = editing.add_step(new, new["sections"][0]["id"], f"n{number}", f"More {number}")
    lines = changed_words(pulse(), new)
    assert len(lines) == MOST_LINES
    assert lines[-1] == "and 9 more changes"
