"""The attempt clock, from the events alone: raw readings to counted time, and spans that a bridged gap leaves open.

Raw time runs from ``started`` and includes pauses. Counted time leaves out pauses with a reason and stops at
``finished`` or ``stopped``. Where the clock was bridged (reload, flat battery, another device) the true time lies
between *the gap took no time* and *the gap took what the bridge says*; if the wall clock went backwards over it, the
upper end is not known at all.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from checkoffs.scoring.events import Event


@dataclass(frozen=True)
class Pause:
    """A pause in raw time; ``counts`` when no reason was given. Open when ``to_ms`` is None."""

    from_ms: int | None
    to_ms: int | None
    reason: str
    counts: bool

    def as_dict(self) -> dict[str, Any]:
        """{"from_ms", "to_ms", "reason", "counts"}."""
        return {
            "from_ms": self.from_ms,
            "to_ms": self.to_ms,
            "reason": self.reason,
            "counts": self.counts,
        }


@dataclass(frozen=True)
class Bridge:
    """A gap in the clock's own running, in raw time, and whether its length can be trusted as an upper end."""

    before_ms: int
    after_ms: int
    how: str
    backwards: bool

    def as_dict(self) -> dict[str, Any]:
        """{"before_ms", "after_ms", "how", "backwards"}."""
        return {
            "before_ms": self.before_ms,
            "after_ms": self.after_ms,
            "how": self.how,
            "backwards": self.backwards,
        }


@dataclass(frozen=True)
class Span:
    """A counted duration: at least ``low``; at most ``high``, None = not known."""

    low: int
    high: int | None

    def within(self, limit_ms: int) -> bool | None:
        """Whether it is no longer than the limit; None when the bridged gap decides."""
        if self.low > limit_ms:
            return False
        return True if self.high is not None and self.high <= limit_ms else None


@dataclass(frozen=True)
class Clock:
    """status: not_started | running | paused | finished | stopped. All times raw milliseconds."""

    status: str
    start_ms: int | None
    end_ms: int | None
    latest_ms: int | None
    pauses: tuple[Pause, ...]
    bridges: tuple[Bridge, ...]

    @property
    def ended(self) -> bool:
        """Finished or stopped."""
        return self.status in ("finished", "stopped")

    def counted(self, raw_ms: int) -> int:
        """Counted milliseconds at a raw reading."""
        until = raw_ms if self.end_ms is None else min(raw_ms, self.end_ms)
        start = self.start_ms or 0
        left_out = sum(self._overlap(pause, start, until) for pause in self.pauses if not pause.counts)
        return max(0, until - start) - left_out

    def now(self) -> int | None:
        """Counted milliseconds at the end, or at the last event while running; None for paper without times."""
        at = self.end_ms if self.ended else self.latest_ms
        return None if at is None else self.counted(at)

    def span(self, from_ms: int, to_ms: int) -> Span:
        """The counted time between two raw readings, as far as it is known. Negative when ``to`` is earlier."""
        if to_ms < from_ms:
            turned = self.span(to_ms, from_ms)
            return Span(-turned.low if turned.high is None else -turned.high, -turned.low)
        whole = self.counted(to_ms) - self.counted(from_ms)
        inside = [b for b in self.bridges if b.before_ms >= from_ms and b.after_ms <= to_ms]
        open_part = sum(self.counted(b.after_ms) - self.counted(b.before_ms) for b in inside)
        return Span(whole - open_part, None if any(b.backwards for b in inside) else whole)

    @staticmethod
    def _overlap(pause: Pause, start: int, until: int) -> int:
        if pause.from_ms is None:
            return 0
        stop = until if pause.to_ms is None else min(pause.to_ms, until)
        return max(0, stop - max(pause.from_ms, start))


def read_clock(events: Iterable[Event]) -> Clock:
    """The clock of standing events in order.

    The first start and the first end hold. A second pause while paused ends the first and begins another, so that a
    reason can be given later. Resuming what is not paused changes nothing: an undone pause leaves such a log.
    """
    status, start, end, latest = "not_started", None, None, None
    pauses: list[Pause] = []
    bridges: list[Bridge] = []
    for event in events:
        # A verdict is the server's remark on a statement; undoing the statement must not leave its time behind.
        if event.at_ms is not None and event.kind != "verified":
            latest = max(latest or 0, event.at_ms)
        if event.kind == "clock_bridged":
            bridges.append(_bridge(event))
        if event.kind == "stopped" or (event.kind == "finished" and status != "stopped"):
            if status not in ("finished", "stopped"):
                _close(pauses, event.at_ms)
                end = event.at_ms
            status = event.kind
        elif status in ("finished", "stopped"):
            continue
        elif event.kind == "started" and status == "not_started":
            status, start = "running", event.at_ms
        elif event.kind == "paused" and status in ("running", "paused"):
            _close(pauses, event.at_ms)
            reason = event.payload.get("reason") or ""
            pauses.append(Pause(event.at_ms, None, reason, not reason))
            status = "paused"
        elif event.kind == "resumed" and status == "paused":
            _close(pauses, event.at_ms)
            status = "running"
    return Clock(status, start, end, latest, tuple(pauses), tuple(bridges))


def _close(pauses: list[Pause], at_ms: int | None) -> None:
    if pauses and pauses[-1].to_ms is None:
        last = pauses.pop()
        pauses.append(Pause(last.from_ms, at_ms, last.reason, last.counts))


def _bridge(event: Event) -> Bridge:
    payload = event.payload
    before, after = payload.get("wall_before"), payload.get("wall_after")
    # Wall times share one form and one zone (events.WALL), so their order as text is their order in time.
    backwards = payload["how"] == "wall" and before is not None and after is not None and after < before
    return Bridge(payload["before_ms"], payload["after_ms"], payload["how"], backwards)
