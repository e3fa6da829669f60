"""States of slots and stations at a moment. Five minutes of grace is common practice."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from checkoffs.days.board import STATES, Facts, slot_state, station_state

NINE = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


def at(minutes: float) -> datetime:
    """So many minutes after nine."""
    return NINE + timedelta(minutes=minutes)


@pytest.mark.parametrize(
    ("facts", "minutes", "code", "late"),
    [
        ({}, -10, "booked", 0),
        ({}, 4.9, "booked", 0),
        ({}, 5, "late", 5),
        ({"arrived_at": at(-3)}, 0, "here", 0),
        ({"arrived_at": at(-3)}, 12, "waiting", 12),
        ({"arrived_at": at(-3), "attempt": "open"}, 12, "in_station", 0),
        ({"attempt": "signed"}, 40, "signed", 0),
        ({"attempt": "moderation"}, 40, "moderation", 0),
        ({"attempt": "sealed"}, 40, "done", 0),
        ({"attempt": "signed", "no_show": True}, 40, "no_show", 0),
        ({"attempt": "sealed", "no_show": True}, 40, "no_show", 0),
    ],
)
def test_slot_states(facts: dict[str, object], minutes: float, code: str, late: int) -> None:
    """Each by its facts, nine o'clock planned."""
    state = slot_state(Facts(NINE, 20, **facts), at(minutes))  # type: ignore[arg-type]
    assert (state.code, state.minutes_late) == (code, late)
    assert state.word == STATES[code][0]


def test_every_state_has_word_and_shape_of_its_own_word() -> None:
    """No state is told by colour alone."""
    assert len({word for word, _, _ in STATES.values()}) == len(STATES)
    assert all(icon for _, icon, _ in STATES.values())


FIRST, SECOND = Facts(NINE, 20), Facts(at(30), 20)


@pytest.mark.parametrize(
    ("slots", "minutes", "code", "late"),
    [
        ([], 0, "free", 0),
        ([FIRST, SECOND], -5, "free", 0),
        ([Facts(NINE, 20, attempt="open"), SECOND], 10, "busy", 0),
        ([Facts(NINE, 20, attempt="open"), SECOND], 24, "busy", 0),
        ([Facts(NINE, 20, attempt="open"), SECOND], 32, "busy", 12),
        ([Facts(NINE, 20, attempt="open")], 60, "busy", 0),  # nobody is kept waiting
        ([Facts(NINE, 20, attempt="sealed"), SECOND], 25, "free", 0),
        ([Facts(NINE, 20, attempt="sealed"), Facts(at(30), 20, arrived_at=at(20))], 41, "free", 11),
        ([Facts(NINE, 20, attempt="sealed"), SECOND], 41, "free", 0),  # the student is late, not the station
        ([Facts(NINE, 20, attempt="sealed"), Facts(at(30), 20, no_show=True)], 60, "over", 0),
    ],
)
def test_station_states(slots: list[Facts], minutes: float, code: str, late: int) -> None:
    """Late is what the next student feels."""
    state = station_state(slots, at(minutes))
    assert (state.code, state.minutes_late) == (code, late)
