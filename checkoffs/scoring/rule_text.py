"""The rule in force as plain sentences, for the record and for the page on which a rule is written."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from fractions import Fraction
from typing import Any

from checkoffs.scoring.exact import plain
from checkoffs.scoring.reasons import WORDS
from checkoffs.scoring.rule import Rule, parse_rule
from checkoffs.scoring.rule_parts import Bounds, Check, Limit
from checkoffs.scoring.sentences import length, section_name, step_name

Texts = Mapping[str, str]
ON_REACHING = {
    "fail": "Passing it fails the attempt.",
    "fail_unfinished": "What is done after it counts as not performed.",
    "record": "Passing it is recorded and fails nothing.",
}
AUTOMATIC = {
    "breach_unnoticed": "a breach of asepsis or safety that the student does not notice",
    "breach_uncorrected": "a breach that is not corrected",
    "safety_stop": "a stop by the evaluator for safety",
}


def rule_sentences(rule: Rule | Mapping[str, Any], texts: Texts, time_factor: str = "1") -> list[str]:
    """The whole rule, one thing a sentence. ``texts``: step texts by id. ``time_factor`` scales limits."""
    parsed = rule if isinstance(rule, Rule) else parse_rule(rule)
    return [
        *_critical(parsed, texts),
        *_marks(parsed),
        *_automatic(parsed),
        *_score(parsed),
        *(_limit(limit, parsed, texts, Fraction(time_factor)) for limit in parsed.limits),
        *_order(parsed, texts),
        *_deeds(parsed, texts),
        *(_stated(check, parsed, texts) for check in parsed.stated),
        *_prompts(parsed),
        *(["The student's identity must be confirmed."] if parsed.identity_required else []),
        "What cannot be told is counted both ways; if that changes the outcome, an instructor decides.",
    ]


def _critical(rule: Rule, texts: Texts) -> list[str]:
    names = [step_name(rule, key, texts) for key, step in rule.steps.items() if step.critical]
    if not names:
        return ["No step is critical."]
    if rule.critical_all:
        return [f"Every critical step must be satisfied: {_join(names)}."]
    return [f"Critical steps are recorded and fail nothing by themselves: {_join(names)}."]


def _marks(rule: Rule) -> list[str]:
    satisfying = [WORDS[code] for code, mark in rule.marks.items() if mark.satisfies]
    partial = [
        f"“{WORDS[code]}” earns {plain(mark.credit)} of a step's points"
        for code, mark in rule.marks.items()
        if mark.credit not in (0, 1)
    ]
    said = [f"A step is satisfied when it is marked {_join(satisfying, 'or')}."]
    return said + ([f"{_join(partial)}."] if partial else [])


def _automatic(rule: Rule) -> list[str]:
    return [f"Fails in any case: {AUTOMATIC[code]}." for code in rule.automatic_fail]


def _score(rule: Rule) -> list[str]:
    score = rule.score
    if score.kind == "none":
        return ["No score is asked."]
    if score.kind == "all":
        return ["Every step that is not optional must be satisfied."]
    unit = WORDS[score.kind]
    said = [] if score.cut is None else [f"At least {plain(score.cut)} {unit} of the whole list is asked."]
    for key, cut in score.per_section.items():
        said.append(f"At least {plain(cut)} {unit} is asked in {section_name(rule, key)}.")
    if score.retake_cap is not None:
        said.append(f"A passed retake is reported as {plain(score.retake_cap)} {unit} at most.")
    return said


def _limit(limit: Limit, rule: Rule, texts: Texts, factor: Fraction) -> str:
    scaled = limit.scalable and factor != 1
    limit_ms = int(limit.limit_ms * factor) if scaled else limit.limit_ms
    about = {"whole": "the whole attempt", "section": "", "step": ""}[limit.scope]
    if limit.scope == "section":
        about = section_name(rule, limit.of)
    if limit.scope == "step":
        about = step_name(rule, limit.of or "", texts)
    extra = f" ({length(limit.limit_ms)} and extra time)" if scaled else ""
    fixed = "" if limit.scalable else " Extra time does not change it."
    return f"Time limit for {about}: {length(limit_ms)}{extra}. {ON_REACHING[limit.on_reaching]}{fixed}"


def _order(rule: Rule, texts: Texts) -> list[str]:
    said = []
    for critical in (True, False):
        pairs = [
            f"{step_name(rule, pair.before, texts)} before {step_name(rule, pair.after, texts)}"
            for pair in rule.pairs
            if pair.critical is critical
        ]
        if pairs:  # one sentence for all of a kind: a list of 36 steps may have a dozen
            said.append(f"Order{_weight(critical)}: {'; '.join(pairs)}.")
    for gap in rule.gaps:
        start, stop = step_name(rule, gap.start, texts), step_name(rule, gap.stop, texts)
        said.append(f"Time between{_weight(gap.critical)}: {_bounds(gap.bounds)} from {start} to {stop}.")
    return said


def _deeds(rule: Rule, texts: Texts) -> list[str]:
    said = []
    for key, step in rule.steps.items():
        name = step_name(rule, key, texts)
        if step.measured and step.measured.tolerance is not None:
            tolerance = f"{plain(step.measured.tolerance)} {step.measured.unit}"
            said.append(f"Measured at {name}: within {tolerance} of the evaluator's own value.")
        if step.timed:
            said.append(f"Timed at {name}: {_bounds(step.timed)}.")
    return said


def _stated(check: Check, rule: Rule, texts: Texts) -> str:
    if not check.must_be_right:
        return f"Stated value “{check.label}” is recorded and fails nothing."
    weight = "must be right"
    if check.step and not check.critical:
        weight = f"must be right for {step_name(rule, check.step, texts)} to count"
    parts = [f"Stated value “{check.label}” {weight}."]
    if check.grades_rounding:
        parts.append("Its rounding is graded.")
    if check.no_unit == "accepted":
        parts.append("A number without a unit is accepted.")
    if check.closes_with:
        parts.append(f"It may be corrected until {step_name(rule, check.closes_with, texts)}.")
    return " ".join(parts)


def _prompts(rule: Rule) -> list[str]:
    said = [f"Prompts{WORDS['of_' + kind]} allowed: {n}." for kind, n in rule.prompts_by_kind.items()]
    return said + ([] if rule.prompts_total is None else [f"Prompts allowed in all: {rule.prompts_total}."])


def _bounds(bounds: Bounds) -> str:
    asked = [f"at least {length(bounds.at_least_ms)}"] if bounds.at_least_ms is not None else []
    asked += [f"at most {length(bounds.at_most_ms)}"] if bounds.at_most_ms is not None else []
    return _join(asked)


def _weight(critical: bool) -> str:
    return " (critical)" if critical else " (recorded only)"


def _join(parts: Iterable[str], word: str = "and") -> str:
    items = list(parts)
    return items[0] if len(items) == 1 else f"{', '.join(items[:-1])} {word} {items[-1]}" if items else ""
