"""A procedure's rule in sentences, as printed on each record: what had to be met, by which numbers. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from checkoffs.records import paper_words as words
from checkoffs.records.terms import Terms

Json = Mapping[str, Any]
AUTOMATIC = {
    "breach_unnoticed": "a breach that the student did not notice",
    "breach_uncorrected": "a breach that was not put right",
    "safety_stop": "a stop for safety",
}
REACHING = {
    "fail": "passing it fails the attempt",
    "fail_unfinished": "what is done later counts as not done",
    "record": "passing it is only recorded",
}


def rule_in_words(terms: Terms, *, time_factor: str = "1") -> list[str]:
    """Every part of the rule that asks something, in the order in which a reader checks it."""
    rule = terms.rule
    return [
        *_critical(rule, terms),
        *_score(rule, terms),
        *(_limit(limit, terms, time_factor) for limit in rule.get("limits", [])),
        *(_pair(pair, terms) for pair in rule.get("pairs", [])),
        *(_gap(gap, terms) for gap in rule.get("gaps", [])),
        *(_stated(check, terms) for check in rule.get("stated", [])),
        *_automatic(rule),
        *_prompts(rule.get("prompts") or {}),
        *(["The student’s identity has to be confirmed."] if rule.get("identity_required") else []),
        "A step not observed is counted as performed and as not performed; only if that changes the outcome does a "
        "moderator decide.",
    ]


def _critical(rule: Json, terms: Terms) -> Iterator[str]:
    numbers = [str(terms.step(key)) for key, step in rule["steps"].items() if step.get("critical")]
    if not numbers:
        yield "No step is critical."
        return
    enough = [words.MARKS[code] for code in _satisfying(rule) if code != "not_applicable"]
    which = "step" if len(numbers) == 1 else "steps"
    if rule.get("critical_all", True):
        yield f"Each critical step must be {_or(enough)}: {which} {words.listed(numbers)}."
    else:
        yield f"Critical {which} {words.listed(numbers)} are shown, but do not decide alone."


def _satisfying(rule: Json) -> list[str]:
    default = ["performed", "self_corrected", "not_applicable"]
    scale = rule.get("marks")
    return [code for code, mark in scale.items() if mark["satisfies"]] if scale else default


def _or(items: list[str]) -> str:
    return words.listed(items).replace(" and ", " or ")


def _score(rule: Json, terms: Terms) -> Iterator[str]:
    score = rule.get("score") or {"kind": "none"}
    unit = "%" if score["kind"] == "percent" else "points"
    if score["kind"] == "none":
        yield "No score is asked."
        return
    if score["kind"] == "all":
        yield "Every step has to be done."
        return
    if score.get("cut") is not None:
        yield f"Score: at least {score['cut']} {unit}."
    for section, cut in (score.get("per_section") or {}).items():
        yield f"Score in section {terms.letters[section]}: at least {cut} {unit}."
    if score.get("retake_cap") is not None:
        yield f"A passed retake is reported with at most {score['retake_cap']} {unit}."


def _limit(limit: Json, terms: Terms, factor: str) -> str:
    what = "The whole attempt" if limit["scope"] == "whole" else terms.scope(limit).capitalize()
    scaled = limit.get("scalable") and factor not in ("1", "1.0", "1.00")
    extra = f", times {factor} for this student" if scaled else ""
    return f"{what}: {words.clock(limit['limit_ms'])} of counted time{extra}; {REACHING[limit['on_reaching']]}."


def _pair(pair: Json, terms: Terms) -> str:
    decides = "" if pair.get("critical") else " (recorded, does not decide)"
    return f"Step {terms.step(pair['before'])} before step {terms.step(pair['after'])}{decides}."


def _gap(gap: Json, terms: Terms) -> str:
    bounds = [
        f"at {word} {words.clock(gap[name])}"
        for word, name in (("least", "at_least_ms"), ("most", "at_most_ms"))
        if gap.get(name) is not None
    ]
    decides = "" if gap.get("critical") else " (recorded, does not decide)"
    return f"From step {terms.step(gap['from'])} to step {terms.step(gap['to'])}: {words.listed(bounds)}{decides}."


def _stated(check: Json, terms: Terms) -> str:
    label = check.get("label", check["id"])
    if not check.get("must_be_right", True):
        return f"{label} is asked and recorded."
    closing = terms.step(check.get("closes_with"))
    late = f"; what is said after step {closing} no longer counts" if closing else ""
    rounding = ", rounded as asked" if check.get("grades_rounding") else ""
    unit = "; a missing unit is accepted" if check.get("no_unit") == "accepted" else "; a missing unit is wrong"
    return f"{label} has to be stated right{rounding}{unit}{late}."


def _automatic(rule: Json) -> Iterator[str]:
    codes = [AUTOMATIC[code] for code in rule.get("automatic_fail", [])]
    if codes:
        yield f"{_or(codes).capitalize()} fails the attempt whatever else was done."


def _prompts(prompts: Json) -> Iterator[str]:
    if prompts.get("total") is not None:
        yield f"At most {prompts['total']} prompts in all."
    for kind, most in (prompts.get("by_kind") or {}).items():
        yield f"At most {most} {kind} prompts." if most else f"No {kind} prompt."
