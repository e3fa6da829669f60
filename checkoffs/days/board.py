"""What a slot's facts mean at a moment, in one word and shape; how a station stands. Pure: the moment is given."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

GRACE = timedelta(minutes=5)  # common practice: five minutes before someone counts as late

# code -> word, shape, level of attention (see the state classes of the frame)
STATES: dict[str, tuple[str, str, str]] = {
    "booked": ("booked", "booked", "quiet"),
    "late": ("late", "lapse", "look"),
    "here": ("here", "open", ""),
    "waiting": ("waiting", "lapse", "look"),
    "in_station": ("in the station", "note", ""),
    "signed": ("scored", "sending", "quiet"),
    "moderation": ("scored, needs moderation", "moderation", "look"),
    "done": ("done", "kept", "quiet"),
    "no_show": ("did not come", "not_applicable", "quiet"),
}


@dataclass(frozen=True)
class Facts:
    """What is known of one slot. ``attempt`` is the attempt's state, empty before it is opened."""

    starts_at: datetime
    minutes: int
    arrived_at: datetime | None = None
    attempt: str = ""
    opened_at: datetime | None = None
    no_show: bool = False

    @property
    def ends_at(self) -> datetime:
        """Planned end."""
        return self.starts_at + timedelta(minutes=self.minutes)


@dataclass(frozen=True)
class SlotState:
    """A slot's state: code, word, shape, level, and how many minutes late where that matters."""

    code: str
    word: str
    icon: str
    level: str
    minutes_late: int = 0


def slot_state(facts: Facts, now: datetime, *, results: bool = True) -> SlotState:
    """The state of one slot; without ``results`` an attempt that needs moderation is scored like any other."""
    code, late = _code(facts, now)
    if code == "moderation" and not results:
        code = "signed"
    word, icon, level = STATES[code]
    return SlotState(code, word, icon, level, late)


def _code(facts: Facts, now: datetime) -> tuple[str, int]:
    if facts.no_show:
        return "no_show", 0
    if facts.attempt:
        return {"open": "in_station", "signed": "signed", "moderation": "moderation"}.get(facts.attempt, "done"), 0
    overdue = now - facts.starts_at
    if overdue >= GRACE:
        return ("waiting" if facts.arrived_at else "late"), int(overdue.total_seconds()) // 60
    return ("here" if facts.arrived_at else "booked"), 0


@dataclass(frozen=True)
class StationState:
    """How a station stands: free, busy or over, and how late it runs, in minutes."""

    code: str
    words: str
    minutes_late: int = 0


def station_state(slots: Sequence[Facts], now: datetime) -> StationState:
    """``slots`` in order of time. Late is what the next student feels, not how long the present one takes."""
    if not slots:
        return StationState("free", "free, nobody planned")
    running = [s for s in slots if s.attempt == "open" and not s.no_show]
    ahead = [s for s in slots if not s.attempt and not s.no_show]
    late = _minutes_late(running, ahead, now)
    if running:
        return StationState("busy", "in use", late)
    if not ahead:
        return StationState("over", "all seen")
    if ahead[0].starts_at > now:
        return StationState("free", "free until the next slot")
    return StationState("free", "free, the next student is due", late)


def _minutes_late(running: list[Facts], ahead: list[Facts], now: datetime) -> int:
    over = [now - s.ends_at for s in running] if ahead else []
    over += [now - s.starts_at for s in ahead[:1] if s.arrived_at and not running]
    longest = max(over, default=timedelta(0))
    return int(longest.total_seconds()) // 60 if longest >= GRACE else 0
