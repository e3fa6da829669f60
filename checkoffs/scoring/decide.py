"""The outcome of an attempt from all its sheets, with every reason as data.

Decision.as_dict() (JSON, the browser's decide gives the very same)::

    {"fold": "1", "outcome": "satisfactory|unsatisfactory|moderation|void",
     "reasons": [{"code", "kind", "decides": bool, ... numbers}],   failed, or not to be told; codes in ``reasons``
     "met": [{"code", "kind", ... numbers}],                        what the rule asked and was kept
     "settle": [{"type", "id", "why"}],                             what a person can still settle
     "score": {"earned", "earned_best", "possible", "percent", "percent_best", "cut", "reported"} | null (no sheet),
     "time": {"counted_ms": int|null, "limit_ms": int|null},        whole attempt; limit after the extra-time factor
     "sheets": [{"id", "kind", "outcome", "reasons", "score"}]}     each scoring sheet, when there are two or more

Reasons, met, settle, score and time are the primary sheet's. With further sheets the reasons that only another sheet
has follow with its id as ``sheet``, then where the sheets differ. ``decides`` is true for every reason that by itself
makes the outcome what it is.

What cannot be told (not observed, caught up, open, unverified) is counted both ways: as kept and as failed. Only if
that changes the outcome is it moderation.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from checkoffs.scoring.errors import ScoringError
from checkoffs.scoring.events import parse_log
from checkoffs.scoring.exact import decimal
from checkoffs.scoring.finding import Finding, Json, Settlements
from checkoffs.scoring.fold import FOLD_VERSION, fold_log
from checkoffs.scoring.judge import Judgement, judge
from checkoffs.scoring.rule import Rule, parse_rule
from checkoffs.scoring.score import score_shown
from checkoffs.scoring.state import SheetState

KINDS = ("primary", "second", "moderation")
SUBJECT = ("code", "step", "check", "pair", "gap", "limit", "section", "of", "breach_kind", "which")
MODERATION_EVENTS = ("settled", "noted", "retracted")


@dataclass(frozen=True)
class Decision:
    """An attempt's outcome; see the module's docstring."""

    outcome: str
    reasons: tuple[Json, ...]
    met: tuple[Json, ...]
    settle: tuple[Json, ...]
    score: Json | None
    time: Json
    sheets: tuple[Json, ...]
    fold: str = FOLD_VERSION

    def as_dict(self) -> Json:
        """See the module's docstring."""
        return {
            "fold": self.fold,
            "outcome": self.outcome,
            "reasons": list(self.reasons),
            "met": list(self.met),
            "settle": list(self.settle),
            "score": self.score,
            "time": self.time,
            "sheets": list(self.sheets),
        }


@dataclass(frozen=True)
class _Sheet:
    id: str
    kind: str
    state: SheetState


def decide(
    rule: Rule | Mapping[str, Any],
    sheets: Iterable[Mapping[str, Any]],
    verdicts: Mapping[str, Mapping[str, Any]] | None = None,
    accommodation: Mapping[str, Any] | None = None,
    attempt_no: int = 1,
) -> Decision:
    """Decide an attempt.

    sheets: [{"id", "kind": "primary|second|moderation", "events": [...]}]; none at all is a no-show.
    verdicts: {statement event id: {"code", ...}} for statements without a ``verified`` event.
    accommodation: {"time_factor": "1.5"}. attempt_no: above 1 the cap on a passed retake applies.
    Raises ScoringError for anything that cannot be read.
    """
    parsed = rule if isinstance(rule, Rule) else parse_rule(rule)
    read = [_read(parsed, sheet) for sheet in sheets]
    factor = _factor(accommodation or {})
    scored = [sheet for sheet in read if sheet.kind != "moderation"]
    primaries = [sheet for sheet in scored if sheet.kind == "primary"]
    if not read:
        return _no_show(parsed, factor)
    if len(primaries) != 1:
        raise ScoringError("not_one_primary", "sheets")
    moderated: dict[str, Json] = {}
    for sheet in read:
        if sheet.kind == "moderation":
            moderated |= sheet.state.settled
    primary = primaries[0]
    scored = [primary] + [sheet for sheet in scored if sheet is not primary]
    judged = [
        judge(
            parsed,
            sheet.state,
            primary.state,
            verdicts or {},
            factor,
            Settlements(sheet.state.settled, moderated),
        )
        for sheet in scored
    ]
    return _together(parsed, scored, judged, factor, attempt_no)


def _together(
    rule: Rule, scored: list[_Sheet], judged: list[Judgement], factor: Fraction, attempt_no: int
) -> Decision:
    first = judged[0]
    differences = [] if len(scored) == 1 else _differences(rule, scored, judged)
    lab = [sheet for sheet in scored if sheet.state.stop and sheet.state.stop["reason"] == "lab"]
    outcome = "void" if lab else "moderation" if differences else first.outcome
    reasons = _reasons(first.findings, outcome)
    for sheet, other in zip(scored[1:], judged[1:], strict=True):
        known = [_core(reason) for reason in reasons]
        reasons += [
            reason | {"sheet": sheet.id} for reason in _reasons(other.findings, outcome) if _core(reason) not in known
        ]
    return Decision(
        outcome=outcome,
        reasons=tuple(reasons + [dict(finding.data) | {"decides": True} for finding in differences]),
        met=tuple(dict(finding.data) for finding in first.findings if finding.met is True),
        settle=tuple(
            {"type": finding.settle[0], "id": finding.settle[1], "why": finding.settle[2]}
            for finding in first.findings
            if finding.settle
        ),
        score=score_shown(rule, first.steps, outcome, attempt_no),
        time={"counted_ms": scored[0].state.clock.now(), "limit_ms": _whole_limit(rule, factor)},
        sheets=tuple(
            {
                "id": sheet.id,
                "kind": sheet.kind,
                "outcome": one.outcome,
                "reasons": _reasons(one.findings, one.outcome),
                "score": score_shown(rule, one.steps, one.outcome, attempt_no),
            }
            for sheet, one in zip(scored, judged, strict=True)
        )
        if len(scored) > 1
        else (),
    )


def _reasons(findings: tuple[Finding, ...], outcome: str) -> list[Json]:
    """Failed ones and those that cannot be told; the latter decide only where they made it moderation."""
    shown = []
    for finding in findings:
        if finding.met is True:
            continue
        if outcome == "void":
            decides = finding.data["kind"] == "lab"
        elif outcome == "moderation":
            decides = finding.met is None and (finding.decides or finding.forces)
        else:
            decides = finding.met is False and finding.decides
        shown.append(dict(finding.data) | {"decides": decides})
    return shown


def _core(reason: Json) -> Json:
    """What a reason is about: the same thing found by two people a second apart is one reason."""
    return {name: reason.get(name) for name in SUBJECT}


def _differences(rule: Rule, scored: list[_Sheet], judged: list[Judgement]) -> list[Finding]:
    found = []
    outcomes = {sheet.id: one.outcome for sheet, one in zip(scored, judged, strict=True)}
    if len(set(outcomes.values())) > 1:
        data = {"code": "outcome_differs", "kind": "disagreement", "outcomes": outcomes}
        found.append(Finding(None, True, data, forces=True))
    for key, step in rule.steps.items():
        if step.critical and len({one.steps[key].satisfied for one in judged}) > 1:
            marks = {sheet.id: sheet.state.steps[key].mark for sheet in scored}
            data = {"code": "critical_differs", "kind": "disagreement", "step": key, "marks": marks}
            found.append(Finding(None, True, data, forces=True))
    return found


def _no_show(rule: Rule, factor: Fraction) -> Decision:
    return Decision(
        outcome="unsatisfactory",
        reasons=({"code": "no_show", "kind": "no_show", "decides": True},),
        met=(),
        settle=(),
        score=None,
        time={"counted_ms": None, "limit_ms": _whole_limit(rule, factor)},
        sheets=(),
    )


def _whole_limit(rule: Rule, factor: Fraction) -> int | None:
    whole = [limit for limit in rule.limits if limit.scope == "whole"]
    scaled = [int(limit.limit_ms * factor) if limit.scalable else limit.limit_ms for limit in whole]
    return min(scaled, default=None)


def _read(rule: Rule, sheet: Mapping[str, Any]) -> _Sheet:
    if sheet.get("kind") not in KINDS:
        raise ScoringError("unknown_value", "sheets.kind")
    log = parse_log(rule, sheet["events"])
    for event in log:
        if event.sheet != sheet["id"]:
            raise ScoringError("other_sheet", "sheet")
        if sheet["kind"] == "moderation" and event.kind not in MODERATION_EVENTS:
            raise ScoringError("not_on_moderation_sheet", "kind", f"{event.kind} on a moderation sheet")
    return _Sheet(sheet["id"], sheet["kind"], fold_log(rule, log))


def _factor(accommodation: Mapping[str, Any]) -> Fraction:
    text = accommodation.get("time_factor", "1")
    factor = decimal(text) if isinstance(text, str) else None
    if factor is None or factor < 1:
        raise ScoringError("not_a_factor", "accommodation.time_factor")
    return factor
