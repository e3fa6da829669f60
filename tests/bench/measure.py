"""How things are timed: two sides in turn, many rounds, medians and their ratio; a slow machine slows both."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True)
class Pair:
    """Median seconds of the thing measured and of its floor, and the median of the ratios pair by pair."""

    name: str
    seconds: float
    floor: float
    ratio: float
    target: str
    unit: str = "×"

    def line(self) -> str:
        """One line of the report."""
        return (
            f"{self.name:<58} {self.ratio:8.2f} {self.unit}   {self.seconds * 1000:9.3f} ms"
            f"   floor {self.floor * 1000:9.3f} ms   {self.target}"
        )


def side_by_side(
    name: str,
    thing: Callable[[], object],
    floor: Callable[[], object],
    *,
    rounds: int,
    target: str,
    inverse: bool = False,
) -> Pair:
    """Time ``thing`` and ``floor`` in turn. ``inverse``: the ratio is floor ÷ thing (a share of the floor's rate)."""
    thing(), floor()  # warm both
    things, floors = [], []
    for _ in range(rounds):
        things.append(_timed(thing))
        floors.append(_timed(floor))
    pairs = [f / t if inverse else t / f for t, f in zip(things, floors, strict=True)]
    return Pair(name, statistics.median(things), statistics.median(floors), statistics.median(pairs), target)


def _timed(call: Callable[[], object]) -> float:
    start = time.perf_counter()
    call()
    return time.perf_counter() - start
