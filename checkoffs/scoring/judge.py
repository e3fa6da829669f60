"""One sheet judged: every thing the rule asks, found kept, failed or not to be told."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from checkoffs.scoring.finding import Finding, Json, Settlements
from checkoffs.scoring.limits import judge_limits
from checkoffs.scoring.order import order_findings
from checkoffs.scoring.rule_parts import Check, Rule
from checkoffs.scoring.score import score_findings
from checkoffs.scoring.state import SheetState
from checkoffs.scoring.stated import right
from checkoffs.scoring.steps import StepJudgement, judge_steps, step_finding


@dataclass(frozen=True)
class Judgement:
    """Findings and judged steps of one sheet, and the outcome they make."""

    findings: tuple[Finding, ...]
    steps: Mapping[str, StepJudgement]
    outcome: str


def judge(
    rule: Rule,
    state: SheetState,
    clock_state: SheetState,
    verdicts: Mapping[str, Mapping[str, Any]],
    factor: Fraction,
    settlements: Settlements,
) -> Judgement:
    """Judge one sheet. ``clock_state`` is the primary sheet, whose clock, identity and end are the attempt's.

    outcome: a deciding failure makes it unsatisfactory; if only what cannot be told could, moderation; else
    satisfactory. A finding that forces moderation does so whatever else was found.
    """
    stated = [_stated(check, state, verdicts, settlements) for check in rule.stated]
    answers = {check.id: finding.met for check, finding in zip(rule.stated, stated, strict=True)}
    own_limits = judge_limits(rule, state, factor, settlements)
    limits = own_limits if state is clock_state else judge_limits(rule, clock_state, factor, settlements)
    steps = judge_steps(rule, state, own_limits, answers, settlements)
    findings = [
        *_ended(rule, clock_state),
        *_breaches(rule, state, settlements),
        *(step_finding(rule.steps[key], steps[key], rule, state, settlements) for key in rule.steps),
        _critical_met(rule, steps),
        *stated,
        *order_findings(rule, state, steps, settlements),
        *(limit.finding(settlements) for limit in limits),
        *score_findings(rule, steps),
        *_prompts(rule, state, settlements),
        *_discrepancies(state),
        _identity(rule, clock_state, settlements),
    ]
    kept = tuple(finding for finding in findings if finding is not None)
    return Judgement(kept, steps, outcome_of(kept))


def outcome_of(findings: tuple[Finding, ...]) -> str:
    """void | moderation | unsatisfactory | satisfactory."""
    if any(finding.data["kind"] == "lab" for finding in findings):
        return "void"
    if any(finding.forces for finding in findings):
        return "moderation"
    deciding = [finding.met for finding in findings if finding.decides]
    return "unsatisfactory" if False in deciding else "moderation" if None in deciding else "satisfactory"


def _ended(rule: Rule, state: SheetState) -> list[Finding]:
    if state.stop is None:
        return []
    reason, text = state.stop["reason"], state.stop["text"]
    if reason == "lab":
        return [Finding(False, True, {"code": "lab_stop", "kind": "lab", "text": text})]
    if reason == "safety":
        decides = "safety_stop" in rule.automatic_fail
        return [Finding(False, decides, {"code": "safety_stop", "kind": "safety", "text": text})]
    return [Finding(False, False, {"code": "stopped", "kind": "time", "reason": reason, "text": text})]


def _breaches(rule: Rule, state: SheetState, settlements: Settlements) -> list[Finding]:
    if not state.breaches:
        asked = any(code.startswith("breach") for code in rule.automatic_fail)
        return [Finding(True, True, {"code": "no_breach", "kind": "safety"})] if asked else []
    return [_breach(rule, breach, settlements) for breach in state.breaches]


def _breach(rule: Rule, breach: Json, settlements: Settlements) -> Finding:
    noticed, corrected = breach["noticed"], breach["corrected"]
    if noticed is None:
        code, met = "breach_unclear", None
    elif noticed is False:
        code, met = "breach_unnoticed", False
    elif corrected is None:
        code, met = "breach_unclear", None
    else:
        code, met = ("breach_corrected", True) if corrected else ("breach_uncorrected", False)
    words = {True: "kept", False: "broken", None: None}[met]
    settled = settlements.verdict("breach", breach["id"])
    decides = _breach_decides(rule, code, noticed)
    if settled is not None:
        met = settled == "kept"
        decides = not met and bool({"breach_unnoticed", "breach_uncorrected"} & set(rule.automatic_fail))
        code = "breach_corrected" if met else "breach_unnoticed" if code == "breach_unclear" else code
    data = {
        "code": code,
        "kind": "safety",
        "breach": breach["id"],
        "breach_kind": breach["kind"],
        "step": breach["step"],
        "at_ms": breach["at_ms"],
        "noticed": noticed,
        "corrected": corrected,
    } | settlements.shown("breach", breach["id"], words)
    settle = ("breach", breach["id"], "breach_unclear") if met is None else None
    # A corrected breach happened all the same: it is told among the reasons, without deciding.
    return Finding(False if met else met, decides and met is not True, data, settle)


def _breach_decides(rule: Rule, code: str, noticed: bool | None) -> bool:
    """An unnoticed breach was not corrected either; one with open details may turn out as anything still possible."""
    unnoticed, uncorrected = (name in rule.automatic_fail for name in ("breach_unnoticed", "breach_uncorrected"))
    if code == "breach_unnoticed":
        return unnoticed or uncorrected
    if code == "breach_uncorrected":
        return uncorrected
    return code == "breach_unclear" and (uncorrected or (unnoticed and noticed is None))


def _critical_met(rule: Rule, steps: Mapping[str, StepJudgement]) -> Finding | None:
    critical = [key for key, step in rule.steps.items() if step.critical]
    kept = [key for key in critical if steps[key].satisfied is True]
    if not kept:
        return None
    data = {"code": "critical_met", "kind": "critical", "count": len(kept), "of": len(critical)}
    return Finding(True, True, data)


def _stated(
    check: Check, state: SheetState, verdicts: Mapping[str, Mapping[str, Any]], settlements: Settlements
) -> Finding:
    said = state.stated.get(check.id)
    event = said.event if said else None
    given = verdicts.get(event) if event else None
    verdict = (said.verdict if said else None) or given
    found = right(check, verdict)
    differs = bool(said and said.differs) or bool(
        given and said and said.verdict and given["code"] != said.verdict["code"]
    )
    answer, why = found, "" if event else "not_stated"
    if event and found is None:
        why = "no_verdict" if verdict is None else "unreadable"
    own = settlements.own.get(f"stated:{check.id}")
    if f"stated:{check.id}" in settlements.moderated:
        answer, differs = settlements.verdict("stated", check.id) == "right", False
    elif own is not None and found is None:
        answer = own["verdict"] == "right"
    elif own is not None and (own["verdict"] == "right") != found:
        # An evaluator alone does not overrule a verdict on a number.
        answer, why = None, "overruled"
    code = {True: "stated_right", False: "stated_wrong", None: "stated_unclear"}[answer]
    words = {True: "right", False: "wrong", None: None}
    data = {
        "code": "verdict_differs" if differs else code,
        "kind": "stated",
        "check": check.id,
        "critical": check.critical,
        "number": said.number if said else None,
        "unit": said.unit if said else None,
        "at_ms": said.at_ms if said else None,
        "verdict": verdict["code"] if verdict else None,
        "why": why,
    } | settlements.shown("stated", check.id, words[found])
    settle = ("stated", check.id, why) if answer is None and why not in ("", "overruled", "no_verdict") else None
    decides = check.must_be_right and (check.critical or check.step is None)
    return Finding(None if differs else answer, decides, data, settle, forces=differs)


def _prompts(rule: Rule, state: SheetState, settlements: Settlements) -> list[Finding]:
    allowed = dict(rule.prompts_by_kind)
    if rule.prompts_total is not None:
        allowed["total"] = rule.prompts_total
    findings = []
    for of, number in allowed.items():
        counted = sum(1 for prompt in state.prompts if of in ("total", prompt["kind"]))
        found = counted <= number
        settled = settlements.verdict("prompts", of)
        kept = found if settled is None else settled == "kept"
        data = {
            "code": "prompts_kept" if kept else "prompts_exceeded",
            "kind": "prompts",
            "of": of,
            "counted": counted,
            "allowed": number,
        } | settlements.shown("prompts", of, "kept" if found else "broken")
        findings.append(Finding(kept, True, data))
    return findings


def _discrepancies(state: SheetState) -> list[Finding]:
    return [
        Finding(
            item["caught"],
            False,
            {
                "code": "discrepancy_caught" if item["caught"] else "discrepancy_missed",
                "kind": "safety",
                "which": item["which"],
                "at_ms": item["at_ms"],
            },
        )
        for item in state.discrepancies
    ]


def _identity(rule: Rule, state: SheetState, settlements: Settlements) -> Finding | None:
    if not rule.identity_required:
        return None
    if state.identity or settlements.verdict("identity", "identity") == "kept":
        how = state.identity["how"] if state.identity else None
        data = {"code": "identity_seen", "kind": "identity", "how": how}
        return Finding(True, True, data | settlements.shown("identity", "identity", None))
    # Whose attempt this is must be known before it is anybody's result, passed or failed.
    settle = ("identity", "identity", "identity_missing")
    return Finding(None, True, {"code": "identity_missing", "kind": "identity"}, settle, forces=True)
