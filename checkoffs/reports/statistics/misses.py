"""How often each step is missed, critical steps first."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from checkoffs.reports.statistics.intervals import Rate, wilson

ALARM_ABOVE = 0.20  # a critical step whose whole interval lies above this is shown in vermilion


@dataclass(frozen=True)
class Step:
    """A step as the newest list shown has it."""

    id: str
    number: int
    text: str
    critical: bool


@dataclass(frozen=True)
class StepFigure:
    """One step with its share of attempts in which it was missed."""

    step: Step
    rate: Rate

    @property
    def alarming(self) -> bool:
        """Critical, enough observations, and the whole interval above the bound."""
        low = self.rate.low
        return self.step.critical and not self.rate.few and low is not None and low > ALARM_ABOVE


def miss_figures(
    steps: Sequence[Step], marks: Iterable[tuple[str, bool | None]], level: float = 0.95
) -> list[StepFigure]:
    """A figure for each step, critical first, then by share missed, then by number.

    marks: (step id, missed) of each attempt's first sheet; None does not count (not observed, not applicable, open).
    Two sheets of one attempt are not two observations of the student: pass the primary one only.
    """
    seen: dict[str, list[bool]] = {step.id: [] for step in steps}
    for step_id, missed in marks:
        if missed is not None and step_id in seen:
            seen[step_id].append(missed)
    figures = [StepFigure(step, wilson(sum(seen[step.id]), len(seen[step.id]), level)) for step in steps]
    return sorted(figures, key=lambda f: (not f.step.critical, -(f.rate.share or 0.0), f.step.number))
