"""The parts of a scoring rule as frozen dataclasses, and the words a rule may use. ``rule`` reads them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

MARKS = (
    "performed",
    "self_corrected",
    "prompted",
    "said",
    "not_performed",
    "not_observed",
    "not_applicable",
)
DEFAULT_SCALE: dict[str, dict[str, Any]] = {
    "performed": {"credit": "1", "satisfies": True},
    "self_corrected": {"credit": "1", "satisfies": True},
    "prompted": {"credit": "1", "satisfies": False},
    "said": {"credit": "0", "satisfies": False},
    "not_performed": {"credit": "0", "satisfies": False},
    "not_observed": {"credit": "0", "satisfies": False},
    "not_applicable": {"credit": "0", "satisfies": True},
}
AUTOMATIC = ("breach_unnoticed", "breach_uncorrected", "safety_stop")
SCORE_KINDS = ("none", "all", "percent", "points")
SCOPES = ("whole", "section", "step")
ON_REACHING = ("fail", "fail_unfinished", "record")
PROMPT_KINDS = ("time", "general", "specific")


@dataclass(frozen=True)
class Mark:
    """What one mark is worth: share of the step's points, and whether it satisfies a critical step."""

    credit: Fraction
    satisfies: bool


@dataclass(frozen=True)
class Bounds:
    """At least and at most, in milliseconds; None = no bound."""

    at_least_ms: int | None
    at_most_ms: int | None


@dataclass(frozen=True)
class Measured:
    """A measured step: unit, target (a number or words) and tolerance either side."""

    unit: str
    target: str | None
    tolerance: Fraction | None


@dataclass(frozen=True)
class Step:
    """One step. ``optional`` steps stay outside score, critical steps and open steps."""

    id: str
    section: str
    number: int
    critical: bool
    reason: str
    points: Fraction
    optional: bool
    measured: Measured | None
    timed: Bounds | None


@dataclass(frozen=True)
class Section:
    """A section and its step ids in order."""

    id: str
    steps: tuple[str, ...]


@dataclass(frozen=True)
class Score:
    """How the score decides. Cuts are percent for kind percent, points for kind points."""

    kind: str
    cut: Fraction | None
    per_section: Mapping[str, Fraction]
    retake_cap: Fraction | None


@dataclass(frozen=True)
class Limit:
    """A time limit in counted milliseconds and what reaching it means."""

    id: str
    scope: str
    of: str | None
    limit_ms: int
    on_reaching: str
    scalable: bool


@dataclass(frozen=True)
class Pair:
    """``after`` needs ``before`` first."""

    id: str
    before: str
    after: str
    critical: bool


@dataclass(frozen=True)
class Gap:
    """The counted time from one step to another must lie within bounds."""

    id: str
    start: str
    stop: str
    bounds: Bounds
    critical: bool


@dataclass(frozen=True)
class Check:
    """A value the student states."""

    id: str
    label: str
    step: str | None
    critical: bool
    must_be_right: bool
    closes_with: str | None
    grades_rounding: bool
    no_unit: str


@dataclass(frozen=True)
class Rule:
    """A whole scoring rule; see the module's docstring for the document."""

    sections: tuple[Section, ...]
    steps: Mapping[str, Step]
    marks: Mapping[str, Mark]
    critical_all: bool
    automatic_fail: tuple[str, ...]
    score: Score
    limits: tuple[Limit, ...]
    pairs: tuple[Pair, ...]
    gaps: tuple[Gap, ...]
    stated: tuple[Check, ...]
    prompts_total: int | None
    prompts_by_kind: Mapping[str, int]
    identity_required: bool

    def check(self, check_id: str) -> Check | None:
        """The stated value with this id."""
        return next((check for check in self.stated if check.id == check_id), None)
