"""Geometry of the whiskers: on the scale, in order, hollow when few."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from checkoffs.reports.statistics.intervals import wilson
from checkoffs.reports.statistics.misses import Step, StepFigure
from checkoffs.reports.whiskers import EDGE, WIDTH, chart


def figure(hits: int, n: int, *, critical: bool = True) -> StepFigure:
    return StepFigure(Step("a", 1, "Scrubs the hub", critical), wilson(hits, n))


@given(st.lists(st.integers(1, 90).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))), min_size=1))
def test_everything_lies_on_the_scale_in_order(counts: list[tuple[int, int]]) -> None:
    drawn = chart([figure(hits, n) for hits, n in counts])
    for row in drawn.rows:
        assert EDGE <= row.low <= row.at <= row.high <= WIDTH - EDGE
        assert row.rate.high is not None
        assert row.rate.high <= drawn.top + 1e-9


def test_looks() -> None:
    rows = chart([figure(17, 41), figure(17, 41, critical=False), figure(2, 8), figure(0, 0)]).rows
    assert [row.look for row in rows] == ["alarm", "plain", "few", "none"]


def test_scale_ends_at_the_first_even_bound() -> None:
    assert chart([figure(2, 41)]).top == 0.2
    assert chart([figure(17, 41)]).top == 0.6
    assert [text for _, text in chart([figure(17, 41)]).ticks] == ["0", "20", "40", "60 %"]
