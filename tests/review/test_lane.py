"""The group's lane: quartiles against numpy's default (Hyndman and Fan type 7), nobody shown under ten attempts."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from checkoffs.attempts.ribbon import Lane
from checkoffs.review.lane import lane_of, lane_sentence, section_ends

SECTIONS = [
    {"id": "a", "letter": "A", "title": "Before", "steps": [{"id": "a1"}, {"id": "a2"}]},
    {"id": "b", "letter": "B", "title": "After", "steps": [{"id": "b1"}]},
]


@given(st.lists(st.integers(0, 3_600_000), min_size=10, max_size=60))
def test_quartiles_are_those_of_numpy(times: list[int]) -> None:
    lane = lane_of({"a": at} for at in times)
    assert lane is not None
    low, high = np.percentile(times, [25, 75])
    assert lane.ends["a"] == (pytest.approx(low, abs=0.51), pytest.approx(high, abs=0.51))


def test_nine_attempts_have_no_lane_and_ten_have() -> None:
    assert lane_of([{"a": 1}] * 9) is None
    assert lane_of([{"a": 1}] * 10) == Lane({"a": (1, 1)}, 10)


def test_a_section_that_few_reached_has_no_box() -> None:
    lane = lane_of([{"a": 1, "b": 2}] * 9 + [{"a": 1}])
    assert lane is not None
    assert set(lane.ends) == {"a"}


def test_ends_leave_out_what_was_caught_up() -> None:
    state = {
        "steps": {
            "a1": {"at_ms": 5, "caught_up": False},
            "a2": {"at_ms": 9, "caught_up": True},
            "b1": {"at_ms": None, "caught_up": True},
        }
    }
    assert section_ends(state, SECTIONS) == {"a": 5}


def test_the_sentence_names_the_first_section_behind() -> None:
    lane = Lane({"a": (1, 10), "b": (5, 20)}, 12)
    assert lane_sentence({"a": 10, "b": 21}, lane, SECTIONS).startswith("Section B, After, put you behind")
    assert lane_sentence({"a": 10, "b": 20}, lane, SECTIONS).startswith("You stayed")
