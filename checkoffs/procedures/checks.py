"""What publishing refuses: a procedure that cannot be passed, that cannot be failed, or that contradicts itself."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from checkoffs.procedures.checks_finding import Finding, Plan, plan_of
from checkoffs.procedures.checks_order import order_findings
from checkoffs.procedures.checks_score import score_findings
from checkoffs.procedures.checks_time import time_findings
from checkoffs.procedures.content import Content, scoring_rule, validate
from checkoffs.scoring.errors import ScoringError
from checkoffs.scoring.rule import parse_rule
from checkoffs.scoring.rule_parts import AUTOMATIC

__all__ = ["Finding", "refusals"]


def refusals(content: Content, *, case_checks: set[str] | None) -> list[Finding]:
    """Every reason not to publish; empty when it may be published.

    case_checks: ids of the values that every case of the procedure has an answer for; None = cases are not looked at.
    """
    if problems := validate(content):
        return [Finding("shape", problem.path, problem.message, problem.accepted) for problem in problems]
    if doubled := list(_ids_used_twice(content)):
        return doubled
    plan = plan_of(content)
    findings = [
        *_structure(plan),
        *_critical(plan),
        *_marks(plan),
        *score_findings(plan),
        *order_findings(plan),
        *time_findings(plan),
        *_stated(plan, case_checks),
        *_automatic(plan),
        *_prompts(plan),
    ]
    findings += _nobody_can_fail(plan)
    return findings or _as_scoring_sees_it(content)


def _ids_used_twice(content: Content) -> Iterator[Finding]:
    rule = content["rule"]
    steps = [step["id"] for section in content["sections"] for step in section["steps"]]
    groups = {
        "section": [section["id"] for section in content["sections"]],
        "step": steps,
        **{part: [entry["id"] for entry in rule.get(part + "s", [])] for part in ("limit", "pair", "gap")},
        "stated": [entry["id"] for entry in rule.get("stated", [])],
    }
    for part, ids in groups.items():
        for key in sorted({key for key in ids if ids.count(key) > 1}):
            yield Finding("duplicate_id", f"{part}:{key}", f"Two entries have the id {key}.", "an id used once")
    for key in sorted(set(groups["limit"]) & set(steps)):
        yield Finding("duplicate_id", f"limit:{key}", f"A limit and a step share the id {key}.", "an id used once")


def _structure(plan: Plan) -> Iterator[Finding]:
    if not plan.content["title"].strip():
        yield Finding("no_title", "title", "The procedure has no title.", "a title")
    if not plan.steps:
        yield Finding("no_steps", "sections", "There is no step to mark.", "at least one step")
    elif all(step["optional"] for step in plan.steps.values()):
        yield Finding(
            "only_optional", "sections", "Every step is optional: nothing has to be done.", "a required step"
        )
    for section in plan.content["sections"]:
        if not section["steps"]:
            yield Finding(
                "empty_section",
                f"section:{section['id']}",
                f"Section {plan.called(section['id'])} has no step.",
                "a step",
            )
    for key, step in plan.steps.items():
        if not step["text"].strip():
            yield Finding("step_without_text", f"step:{key}", f"Step {plan.number[key]} has no words.", "what to do")


def _critical(plan: Plan) -> Iterator[Finding]:
    critical = {key: step for key, step in plan.steps.items() if step["critical"]}
    for key, step in critical.items():
        where, name = f"step:{key}", f"Step {plan.number[key]}"
        if not step["critical_reason"].strip():
            yield Finding(
                "critical_without_reason", where, f"{name} is critical, but no reason says why.", "a reason"
            )
        if step["optional"]:
            yield Finding("critical_optional", where, f"{name} is critical and optional at once.", "one of the two")
    if critical and not plan.rule["critical_all"] and plan.rule["score"]["kind"] != "all":
        yield Finding(
            "critical_ignored",
            "rule:critical_all",
            "Steps are marked critical, but the rule does not require them.",
            "require all critical steps, or mark none",
        )


def _marks(plan: Plan) -> Iterator[Finding]:
    for code, mark in plan.scale.items():
        if not 0 <= Fraction(mark["credit"]) <= 1:
            yield Finding(
                "credit_out_of_range", f"mark:{code}", f"The credit of “{code}” is {mark['credit']}.", "0 to 1"
            )
    for key, step in plan.steps.items():
        where, name = f"step:{key}", f"Step {plan.number[key]}"
        if Fraction(step["points"]) < 0:
            yield Finding("negative_points", where, f"{name} gives {step['points']} points.", "0 or more")
        if step["marks"] is not None and not step["marks"]:
            yield Finding("no_mark_allowed", where, f"{name} allows no mark at all.", "at least one mark")
        elif plan.must(key) and not plan.satisfiable(key):
            yield Finding(
                "cannot_be_satisfied",
                where,
                f"{name} must be done, but none of the marks allowed for it satisfies it.",
                "a mark such as “performed” that satisfies",
            )


def _stated(plan: Plan, case_checks: set[str] | None) -> Iterator[Finding]:
    for entry in plan.rule["stated"]:
        where, label = f"stated:{entry['id']}", entry["label"]
        for field, words in (("step", "is stated at"), ("closes_with", "is closed by")):
            if entry[field] is not None and entry[field] not in plan.steps:
                yield Finding(
                    "unknown_step", where, f"{label} {words} a step that is not there.", "a step of the list"
                )
        if case_checks is not None and entry["id"] not in case_checks:
            yield Finding(
                "stated_without_case",
                where,
                f"{label} is to be verified, but no case has an answer for it.",
                "a case template with a check of the same id",
            )
        if entry["critical"] and not entry["must_be_right"]:
            yield Finding(
                "critical_not_right", where, f"{label} is critical, yet it need not be right.", "one of the two"
            )
        step, closing = entry["step"], entry["closes_with"]
        if step in plan.steps and closing in plan.steps and plan.closes_too_early(step, closing):
            yield Finding(
                "closes_too_early",
                where,
                f"{label} is stated at step {plan.number[step]}, but step {plan.number[closing]} already closes it.",
                "a step at or after the one where it is stated",
            )


def _automatic(plan: Plan) -> Iterator[Finding]:
    for code in plan.rule["automatic_fail"]:
        if code not in AUTOMATIC:
            yield Finding(
                "unknown_automatic_fail", "rule:automatic_fail", f"“{code}” is not known.", ", ".join(AUTOMATIC)
            )


def _prompts(plan: Plan) -> Iterator[Finding]:
    prompts = plan.rule["prompts"]
    total = prompts["total"]
    if total is not None and total < 0:
        yield Finding("negative_prompts", "prompts", f"{total} prompts cannot be allowed.", "0 or more")
    for kind, most in prompts["by_kind"].items():
        if most < 0:
            yield Finding("negative_prompts", "prompts", f"{most} {kind} prompts cannot be allowed.", "0 or more")
        elif total is not None and most > total >= 0:
            yield Finding(
                "prompts_above_total",
                "prompts",
                f"{most} {kind} prompts are allowed, but only {total} in all.",
                f"≤ {total}",
            )


def _nobody_can_fail(plan: Plan) -> list[Finding]:
    rule = plan.rule
    decides = (
        any(plan.must(key) for key in plan.steps),
        rule["score"]["kind"] != "none",
        rule["automatic_fail"],
        any(limit["on_reaching"] != "record" for limit in rule["limits"]),
        any(entry["critical"] for entry in [*rule["pairs"], *rule["gaps"]]),
        any(entry["must_be_right"] for entry in rule["stated"]),
        rule["prompts"]["total"] is not None or rule["prompts"]["by_kind"],
    )
    if not plan.steps or any(decides):
        return []
    return [
        Finding("cannot_be_failed", "rule", "Nothing in the rule can fail an attempt.", "a critical step or a score")
    ]


def _as_scoring_sees_it(content: Content) -> list[Finding]:
    """The last net: the rule must be one that the scoring itself accepts."""
    try:
        parse_rule(scoring_rule(content))
    except ScoringError as error:
        return [
            Finding(
                error.code, f"rule:{error.field}", "The scoring cannot use this rule.", "a rule without this fault"
            )
        ]
    return []
