"""The ribbon's measures and its scale: frame, channel, axis. Pure."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from checkoffs.attempts.ribbon_paint import Shape, n, path, rect, words

MINUTE = 60_000
LEFT = 2.0


@dataclass(frozen=True)
class Frame:
    """The measures of one strip in px: full or compact, with its top edge moved down by ``y0`` for a second sheet."""

    width: float
    compact: bool
    axis: bool
    y0: float = 0.0

    @property
    def top(self) -> float:
        """Room for flags."""
        return 13.0 if self.compact else 18.0

    @property
    def up(self) -> float:
        """Room for ticks above the band."""
        return 13.0 if self.compact else 24.0

    @property
    def band(self) -> float:
        """Height of the band."""
        return 11.0 if self.compact else 18.0

    @property
    def down(self) -> float:
        """Room for ticks below the band."""
        return 8.0 if self.compact else 14.0

    @property
    def right(self) -> float:
        """Room at the right edge for the limit's thick bar."""
        return 10.0 if self.compact else 14.0

    @property
    def by(self) -> float:
        """The band's upper edge."""
        return self.y0 + self.top + self.up

    @property
    def base(self) -> float:
        """The band's lower edge."""
        return self.by + self.band

    @property
    def text_y(self) -> float:
        """The axis figures' base line."""
        return self.base + self.down + 13

    @property
    def bottom(self) -> float:
        """Where this strip ends."""
        return self.base + self.down + (18 if self.axis else 1)


def clock(ms: int) -> str:
    """1390000 gives 23:10."""
    return f"{ms // MINUTE}:{ms % MINUTE // 1000:02d}"


def place(frame: Frame, end_ms: int) -> Callable[[float], float]:
    """From counted ms to px; ``end_ms`` lies at the right margin."""
    room = frame.width - LEFT - frame.right
    return lambda ms: LEFT + ms / end_ms * room


def scale_end(limit_ms: int | None, latest_ms: int) -> int:
    """What the strip's whole width means: the limit, or more when it was passed; whole five minutes without one."""
    if limit_ms is None:
        return max(5 * MINUTE, math.ceil(latest_ms / (5 * MINUTE)) * 5 * MINUTE)
    return limit_ms if latest_ms <= limit_ms else latest_ms + 4_000


def label_step(frame: Frame, end_ms: int) -> int:
    """Minutes between figures of the axis: five, less for a very short limit, more where figures would touch."""
    per_minute = (frame.width - LEFT - frame.right) * MINUTE / end_ms
    steps = (
        [1, 2, 5, 10, 15, 30, 60, 120, 240, 480, 960]
        if end_ms <= 6 * MINUTE
        else [5, 10, 15, 30, 60, 120, 240, 480, 960]
    )
    return next((step for step in steps if step * per_minute >= 34), 1440)


def channel(frame: Frame, x: Callable[[float], float], end_ms: int, limit_ms: int | None) -> Iterator[Shape]:
    """The empty channel with a stroke a minute, a taller one each five."""
    until = limit_ms if limit_ms is not None else end_ms
    yield rect("rb-chan", LEFT, frame.by + 0.5, x(until) - LEFT, frame.band - 1)
    step, per_minute = label_step(frame, end_ms), x(MINUTE) - x(0)
    for minute in range(1, math.ceil(until / MINUTE)):
        big = minute % step == 0
        if big or (per_minute >= 4 and not frame.compact):
            yield path(
                "rb-grad", f"M{n(x(minute * MINUTE))} {n(frame.base - (frame.band if big else 4))}V{n(frame.base)}"
            )


def axis(
    frame: Frame, x: Callable[[float], float], end_ms: int, limit_ms: int | None, now_ms: int
) -> Iterator[Shape]:
    """Minutes, the limit in words, and past it the time reached; figures that would touch them are left out."""
    size = 12.0
    over = limit_ms is not None and now_ms > limit_ms
    edge = frame.width - 1
    if limit_ms is not None:
        text = f"limit {clock(limit_ms)}"
        at = x(limit_ms) + 4 if over else edge
        yield words("rb-ax lim", at, frame.text_y, text, size, "end")
        if over and edge - 6.2 * len(clock(now_ms)) > at + 6:
            yield words("rb-ax", edge, frame.text_y, clock(now_ms), size, "end")
        edge = at - 6.4 * len(text)
    step = label_step(frame, end_ms)
    until = limit_ms if limit_ms is not None else end_ms
    for minute in range(0, math.floor(until / MINUTE) + 1, step):
        at = x(minute * MINUTE)
        if minute * MINUTE < until + (limit_ms is None) and at + 10 < edge:
            yield words("rb-ax", at, frame.text_y, str(minute), size, "middle" if minute else "start")
