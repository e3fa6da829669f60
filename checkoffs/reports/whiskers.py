"""Where the parts of a whisker stand: a diamond at the share, a line over its interval, on a common scale. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from checkoffs.reports.statistics.intervals import Rate
from checkoffs.reports.statistics.misses import StepFigure

WIDTH, HEIGHT, EDGE = 200, 24, 6  # px; EDGE keeps the diamond of 0 % and 100 % inside
BESIDE = 128  # the width beside the cohort's table
TOPS = (0.2, 0.4, 0.6, 0.8, 1.0)


@dataclass(frozen=True)
class Whisker:
    """Positions in px. ``look``: alarm (vermilion), few (hollow and dotted), or plain; None shares have none."""

    figure: StepFigure
    look: str
    at: float
    low: float
    high: float

    @property
    def rate(self) -> Rate:
        """The figure's rate."""
        return self.figure.rate

    @property
    def diamond(self) -> str:
        """The path of the diamond."""
        middle = HEIGHT / 2
        return f"M{self.at - 5:g} {middle:g}l5 -5l5 5l-5 5Z"

    @property
    def line(self) -> str:
        """The path of the interval, with its ends unless it is dotted."""
        middle, ends = HEIGHT / 2, ""
        if self.look != "few":
            ends = f"M{self.low:g} {middle - 5:g}V{middle + 5:g}M{self.high:g} {middle - 5:g}V{middle + 5:g}"
        return f"M{self.low:g} {middle:g}H{self.high:g}{ends}"


@dataclass(frozen=True)
class Chart:
    """All whiskers on one scale from 0 to ``top``; ticks: (px, text); width in px."""

    top: float
    rows: tuple[Whisker, ...]
    ticks: tuple[tuple[float, str], ...]
    grid: str
    width: int


def chart(figures: Iterable[StepFigure], width: int = WIDTH) -> Chart:
    """The scale ends at the first even bound above all intervals, so that small shares are not squeezed."""
    listed = list(figures)
    highest = max((f.rate.high for f in listed if f.rate.high is not None), default=0.0)
    top = next((bound for bound in TOPS if bound >= highest), 1.0)
    steps = round(top * 5)
    places = [_x(n / 5, top, width) for n in range(steps + 1)]
    told = {0, (steps + 1) // 2, steps} if steps > 3 else set(range(steps + 1))  # or their words would touch
    return Chart(
        top,
        tuple(_whisker(figure, top, width) for figure in listed),
        tuple((places[n], f"{n * 20}{' %' if n == steps else ''}") for n in sorted(told)),
        "".join(f"M{x:g} 0V{HEIGHT}" for x in places),
        width,
    )


def _whisker(figure: StepFigure, top: float, width: int) -> Whisker:
    rate = figure.rate
    look = "none" if not rate.computable else "few" if rate.few else "alarm" if figure.alarming else "plain"
    at, low, high = (_x(share or 0, top, width) for share in (rate.share, rate.low, rate.high))
    return Whisker(figure, look, at, low, high)


def _x(share: float, top: float, width: int) -> float:
    return round(EDGE + share / top * (width - 2 * EDGE), 1)
