"""The form of a step: what it shows of a step it gives back, and what it refuses."""

from __future__ import annotations

from typing import Any

import pytest

from checkoffs.procedures.content import find_step
from checkoffs.procedures.forms.step import StepForm
from tests.procedures.make import ids, pulse
from tests.procedures.views.make import posted


def form(**typed: Any) -> StepForm:
    content = pulse()
    found = find_step(content, ids(content)[2])
    assert found is not None
    shown = posted(StepForm(content=content, found=found))
    return StepForm(shown | typed, content=content, found=found)


def test_a_step_posted_back_unchanged_is_the_same_step() -> None:
    content = pulse()
    found = find_step(content, ids(content)[2])
    assert found is not None
    same = form()
    assert same.is_valid(), same.errors
    assert same.values() | {"id": found.step["id"]} == found.step


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"timed_least": "9", "timed_most": "3"}, "timed_most"),
        ({"measured_tolerance": "2"}, "measured_unit"),
        ({"measured_unit": "mL", "measured_tolerance": "two"}, "measured_tolerance"),
        ({"marks": []}, "marks"),
        ({"points": "1,5"}, "points"),
        ({"section": "elsewhere"}, "section"),
        ({"subpoints": "\n".join("abcdefgh" * 8 for _ in range(61))}, "subpoints"),
        ({"text": "x" * 2001}, "text"),
    ],
)
def test_a_fault_is_said_at_its_field(typed: dict[str, Any], field: str) -> None:
    assert list(form(**typed).errors) == [field]
