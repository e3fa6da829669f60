"""Laying slots out. From the trade: a 20-minute slot with factor 1.5 grows by 10 minutes."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from checkoffs.days.timetable import Busy, clashes, lay_out, lengthened

NINE = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


@pytest.mark.parametrize(
    ("minutes", "factor", "long"), [(20, "1.5", 30), (20, "1", 20), (25, "1.25", 32), (5, "4", 20)]
)
def test_extra_time_lengthens_the_slot(minutes: int, factor: str, long: int) -> None:
    """Rounded up: a student never loses part of a minute."""
    assert lengthened(minutes, Decimal(factor)) == long


def test_slots_follow_each_other_with_changeover() -> None:
    """20 + 10, then 30 + 10, then 20."""
    places = lay_out(NINE, [(1, Decimal(1)), (2, Decimal("1.5")), (3, Decimal(1))], minutes=20, changeover=10)
    assert [(p.student, p.starts_at.strftime("%H:%M"), p.minutes) for p in places] == [
        (1, "09:00", 20),
        (2, "09:30", 30),
        (3, "10:10", 20),
    ]


def test_sixty_students_four_evaluators() -> None:
    """The trade's example: 20 + 5 + 5 minutes, 15 students an evaluator, take 7.5 hours (common practice)."""
    places = lay_out(NINE, [(n, Decimal(1)) for n in range(15)], minutes=20, changeover=10)
    assert places[-1].ends_at + timedelta(minutes=10) - NINE == timedelta(hours=7, minutes=30)


def test_hours_pass_truly_over_a_clock_change() -> None:
    """On 29 March 2026 clocks in London go from 01:00 to 02:00; the lab's hour stays an hour."""
    start = datetime(2026, 3, 29, 0, 30, tzinfo=ZoneInfo("Europe/London")).astimezone(UTC)
    places = lay_out(start, [(1, Decimal(1)), (2, Decimal(1))], minutes=60, changeover=0)
    assert places[1].starts_at - places[0].starts_at == timedelta(hours=1)


_busy = st.builds(
    lambda who, start, long: Busy(
        who, "here", NINE + timedelta(minutes=start), NINE + timedelta(minutes=start + long)
    ),
    st.integers(1, 3),
    st.integers(0, 60),
    st.integers(1, 30),
)


@given(st.lists(_busy, max_size=6), st.lists(_busy, max_size=6))
def test_clashes_are_minutes_in_two_places(planned: list[Busy], taken: list[Busy]) -> None:
    """Against an independent reading: mark every minute, look for one that is marked twice."""
    minutes: dict[tuple[object, int], int] = {}
    for busy in [*planned, *taken]:
        for minute in range(int((busy.ends_at - busy.starts_at).total_seconds()) // 60):
            key = (busy.who, int((busy.starts_at - NINE).total_seconds()) // 60 + minute)
            minutes[key] = minutes.get(key, 0) + 1
    taken_twice = clashes(taken, [])
    doubled = any(count > 1 for count in minutes.values())
    assert bool(clashes(planned, taken) or taken_twice) == doubled
