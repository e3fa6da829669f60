"""Time limits, timed and measured steps that cannot be kept, alone or together."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Any

from checkoffs.procedures.checks_finding import Finding, Plan
from checkoffs.procedures.checks_order import order_findings, waits_between


def time_findings(plan: Plan) -> list[Finding]:
    """Findings on limits, on timed and measured steps, and on waits that no limit leaves room for."""
    findings = [*_limits(plan), *_timed(plan), *_measured(plan)]
    if not findings and not order_findings(plan):
        findings = list(_no_room(plan))
    return findings


def _limits(plan: Plan) -> Iterator[Finding]:
    seen: set[tuple[str, str | None]] = set()
    for limit in plan.rule["limits"]:
        where, scope, of = f"limit:{limit['id']}", limit["scope"], limit["of"]
        if limit["limit_s"] <= 0:
            yield Finding(
                "limit_not_positive", where, f"A limit of {limit['limit_s']} s cannot be kept.", "more than 0 s"
            )
        known: Any = {"section": plan.sections, "step": plan.steps}.get(scope)
        if known is not None and of not in known:
            yield Finding(f"unknown_{scope}", where, f"The limit is for a {scope} that is not there.", f"a {scope}")
            continue
        about = (scope, None if scope == "whole" else of)
        if about in seen:
            yield Finding("limit_twice", where, "There is already a limit for the same.", "one limit")
        seen.add(about)
        yield from _beyond(plan, limit)


def _beyond(plan: Plan, limit: dict[str, Any]) -> Iterator[Finding]:
    """A part's limit beyond that of the whole it lies in never takes effect."""
    if limit["scope"] == "whole":
        return
    section = plan.section_of[limit["of"]] if limit["scope"] == "step" else None
    for outer in plan.rule["limits"]:
        around = outer["scope"] == "whole" or (outer["scope"] == "section" and outer["of"] == section)
        if around and outer["id"] != limit["id"] and limit["limit_s"] > outer["limit_s"] > 0:
            what = "whole procedure" if outer["scope"] == "whole" else "section"
            yield Finding(
                "limit_beyond_outer",
                f"limit:{limit['id']}",
                f"This {limit['scope']} may take {limit['limit_s']} s, but the {what} only {outer['limit_s']} s.",
                f"up to {outer['limit_s']} s",
            )


def _timed(plan: Plan) -> Iterator[Finding]:
    for key, step in plan.steps.items():
        timed: Any = step.get("timed")
        if timed is None:
            continue
        where, name = f"step:{key}", f"Step {plan.number[key]}"
        least, most = timed.get("at_least_s"), timed.get("at_most_s")
        if least is None and most is None:
            yield Finding("timed_without_bound", where, f"{name} is timed, but without a least or a most.", "seconds")
        if any(bound is not None and bound < 0 for bound in (least, most)):
            yield Finding("negative_time", where, f"{name} has a bound below 0 seconds.", "0 or more")
        elif least is not None and most is not None and least > most:
            yield Finding(
                "timed_bounds_cross",
                where,
                f"{name}: at least {least} s and at most {most} s cannot both hold.",
                "least ≤ most",
            )


def _measured(plan: Plan) -> Iterator[Finding]:
    for key, step in plan.steps.items():
        measured: Any = step.get("measured")
        if measured and measured.get("tolerance") is not None and Fraction(measured["tolerance"]) < 0:
            yield Finding(
                "negative_tolerance", f"step:{key}", f"Step {plan.number[key]} has a tolerance below 0.", "0 or more"
            )


def _no_room(plan: Plan) -> Iterator[Finding]:
    for limit in plan.rule["limits"]:
        if limit["on_reaching"] == "record":
            continue
        inside = [key for key in plan.steps if _lies_in(plan, key, limit)]
        needed = max((_least_time(plan, key, inside) for key in inside), default=0)
        if needed > limit["limit_s"]:
            yield Finding(
                "waits_exceed_limit",
                f"limit:{limit['id']}",
                f"The limit is {limit['limit_s']} s, but timed steps and waits need at least {needed} s.",
                f"more than {needed} s",
            )


def _lies_in(plan: Plan, key: str, limit: dict[str, Any]) -> bool:
    if plan.steps[key].get("optional"):
        return False
    return limit["scope"] == "whole" or limit["of"] in (key, plan.section_of[key])


def _least_time(plan: Plan, start: str, inside: list[str]) -> int:
    """The longest wait that begins at a step and ends within the same limit, or the step's own least duration."""
    timed: Any = plan.steps[start].get("timed") or {}
    waits = [seconds for key, seconds in waits_between(plan, start).items() if key in inside]
    return max([timed.get("at_least_s") or 0, *waits])
