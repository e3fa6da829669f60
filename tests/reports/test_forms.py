"""Filters: what cannot be read is left open, never an error page."""

from __future__ import annotations

from datetime import date

from checkoffs.reports.forms import CohortFilter, FiguresFilter


def test_figures_filters_are_read() -> None:
    form = FiguresFilter({"version": "3", "attempts": "first", "since": "2026-10-01"}, versions=(3, 2))
    assert form.wanted() == {"version": 3, "first_only": True, "since": date(2026, 10, 1)}


def test_odd_filters_are_left_open() -> None:
    form = FiguresFilter({"version": "9", "attempts": "x", "since": "soon"}, versions=(3, 2))
    assert form.wanted() == {"version": None, "first_only": False, "since": None}


def test_states_are_those_of_the_table() -> None:
    assert CohortFilter({"state": "retake"}).is_valid()
    assert not CohortFilter({"state": "competent"}).is_valid()
