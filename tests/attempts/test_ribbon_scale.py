"""The ribbon's measures: what the width means, and figures that never touch."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from checkoffs.attempts import ribbon_scale as scale

MINUTE = scale.MINUTE


@pytest.mark.parametrize(
    ("limit", "latest", "end"),
    [
        (600_000, 0, 600_000),
        (600_000, 600_000, 600_000),
        (600_000, 600_001, 604_001),
        (None, 0, 300_000),
        (None, 300_001, 600_000),
    ],
)
def test_the_width_means_the_limit_or_what_passed_it(limit: int | None, latest: int, end: int) -> None:
    assert scale.scale_end(limit, latest) == end


def test_the_end_of_the_scale_leaves_room_for_the_thick_bar() -> None:
    place = scale.place(scale.Frame(616, compact=False, axis=True), 600_000)
    assert (place(0), place(300_000), place(600_000)) == (2, 302, 602)


@given(
    width=st.integers(200, 1400),
    limit=st.one_of(st.none(), st.integers(30_000, 24 * 60 * MINUTE)),
    share=st.floats(0, 1.5),
)
def test_figures_of_the_axis_never_touch(width: int, limit: int | None, share: float) -> None:
    now = int((limit or 25 * MINUTE) * share)
    frame = scale.Frame(width, compact=False, axis=True)
    end = scale.scale_end(limit, now)
    spans = []
    for shape in scale.axis(frame, scale.place(frame, end), end, limit, now):
        at, wide = float(dict(shape.attrs)["x"]), 5.9 * len(shape.text)  # 12 px figures measured 5.9 px wide
        shift = {"start": 0, "middle": wide / 2, "end": wide}[dict(shape.attrs)["text-anchor"]]
        spans.append((at - shift, at - shift + wide))
    spans.sort()
    assert all(left[1] < right[0] for left, right in itertools.pairwise(spans))


@given(st.integers(0, 10**8))
def test_the_clock_is_minutes_and_two_figures_of_seconds(ms: int) -> None:
    minutes, seconds = scale.clock(ms).split(":")
    assert len(seconds) == 2
    assert (int(minutes) * 60 + int(seconds)) == ms // 1000
