"""The score: exact sums over the steps that count, at worst and at best, and what they mean for the outcome.

Optional steps and *not applicable* stay outside. Percent is shown cut down to two decimals, never rounded up; the cut
is compared exactly.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from checkoffs.scoring.exact import cut_down, plain
from checkoffs.scoring.finding import Finding, Json
from checkoffs.scoring.rule_parts import Rule
from checkoffs.scoring.steps import StepJudgement


@dataclass(frozen=True)
class Tally:
    """Points earned at worst and at best out of the possible ones."""

    low: Fraction
    high: Fraction
    possible: Fraction

    def percent(self, earned: Fraction) -> Fraction | None:
        """Percent of the possible points; None when nothing counted."""
        return earned * 100 / self.possible if self.possible else None


def tally(rule: Rule, steps: Mapping[str, StepJudgement], among: Iterable[str]) -> Tally:
    """Add up the steps ``among``."""
    counted = [key for key in among if steps[key].counts and not rule.steps[key].optional]
    return Tally(
        low=sum((steps[key].low * rule.steps[key].points for key in counted), Fraction(0)),
        high=sum((steps[key].high * rule.steps[key].points for key in counted), Fraction(0)),
        possible=sum((rule.steps[key].points for key in counted), Fraction(0)),
    )


def score_findings(rule: Rule, steps: Mapping[str, StepJudgement]) -> list[Finding]:
    """The cut for the whole and for each section that has one; for kind ``all``, one finding when all is done."""
    score = rule.score
    if score.kind == "all":
        missing = [key for key, step in steps.items() if not rule.steps[key].optional and not step.satisfied]
        done = {"code": "all_done", "kind": "score", "count": len(steps)}
        return [] if missing else [Finding(True, True, done)]
    if score.kind == "none":
        return []
    findings = []
    if score.cut is not None:
        findings.append(_cut(rule, tally(rule, steps, rule.steps), score.cut, None))
    for section in rule.sections:
        if section.id in score.per_section:
            part = tally(rule, steps, section.steps)
            findings.append(_cut(rule, part, score.per_section[section.id], section.id))
    return findings


def score_shown(rule: Rule, steps: Mapping[str, StepJudgement], outcome: str, attempt_no: int) -> Json:
    """{"earned", "earned_best", "possible", "percent", "percent_best", "cut", "reported"}; decimals as text or null.

    ``reported`` is what a grade book takes: percent or points of a decided attempt, capped on a passed retake; null
    for kinds none and all, and while nothing is decided.
    """
    whole = tally(rule, steps, rule.steps)
    score = rule.score
    shown: Json = {
        "earned": plain(whole.low),
        "earned_best": plain(whole.high),
        "possible": plain(whole.possible),
        "percent": _text(whole.percent(whole.low)),
        "percent_best": _text(whole.percent(whole.high)),
        "cut": None if score.cut is None or score.kind in ("none", "all") else plain(score.cut),
        "reported": None,
    }
    value = whole.percent(whole.low) if score.kind == "percent" else whole.low
    if score.kind in ("percent", "points") and outcome in ("satisfactory", "unsatisfactory"):
        capped = outcome == "satisfactory" and attempt_no > 1 and score.retake_cap is not None
        if value is not None and capped and score.retake_cap is not None:
            value = min(value, score.retake_cap)
        shown["reported"] = _text(value)
    return shown


def _cut(rule: Rule, part: Tally, cut: Fraction, section: str | None) -> Finding:
    percent = rule.score.kind == "percent"
    low, high = (part.percent(part.low), part.percent(part.high)) if percent else (part.low, part.high)
    met = None if low is None or high is None else True if low >= cut else False if high < cut else None
    code = {True: "score_reached", False: "score_below", None: "score_unclear"}[met]
    if low is None:
        code = "score_empty"
    data: Json = {
        "code": code,
        "kind": "score",
        "section": section,
        "unit": rule.score.kind,
        "low": _text(low),
        "high": _text(high),
        "cut": plain(cut),
    }
    return Finding(met, True, data)


def _text(value: Fraction | None) -> str | None:
    return None if value is None else cut_down(value)
