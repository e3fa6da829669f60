"""Laying slots out one after another, and finding two that overlap. Pure: no table, no clock."""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import ROUND_CEILING, Decimal


@dataclass(frozen=True)
class Place:
    """A student's time at a station: ``minutes`` already holds the extra time."""

    student: int
    starts_at: datetime
    minutes: int

    @property
    def ends_at(self) -> datetime:
        """When the slot is over, changeover not counted."""
        return self.starts_at + timedelta(minutes=self.minutes)


@dataclass(frozen=True)
class Busy:
    """Someone is somewhere from one moment to another."""

    who: Hashable
    where: str
    starts_at: datetime
    ends_at: datetime


def lengthened(minutes: int, factor: Decimal) -> int:
    """Slot minutes with an extra-time factor, rounded up to a whole minute: 20 with 1.5 gives 30."""
    return int((Decimal(minutes) * factor).to_integral_value(rounding=ROUND_CEILING))


def lay_out(
    start: datetime, students: Iterable[tuple[int, Decimal]], *, minutes: int, changeover: int
) -> tuple[Place, ...]:
    """Slots one after another from ``start``; changeover minutes (feedback, reset) follow each and do not grow."""
    places, at = [], start
    for student, factor in students:
        place = Place(student, at, lengthened(minutes, factor))
        places.append(place)
        at = place.ends_at + timedelta(minutes=changeover)
    return tuple(places)


def clashes(planned: Iterable[Busy], taken: Iterable[Busy]) -> list[tuple[Busy, Busy]]:
    """Pairs (planned, taken) in which the same one would be in two places; touching ends are no clash."""
    by_who: dict[Hashable, list[Busy]] = {}
    for busy in taken:
        by_who.setdefault(busy.who, []).append(busy)
    found = []
    for plan in planned:
        for busy in by_who.get(plan.who, []):
            if plan.starts_at < busy.ends_at and busy.starts_at < plan.ends_at:
                found.append((plan, busy))
        by_who.setdefault(plan.who, []).append(plan)
    return found
