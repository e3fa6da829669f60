"""Order pairs and gaps that contradict each other: missing steps, circles, bounds that no attempt can keep."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from checkoffs.procedures.checks_finding import Finding, Plan


def order_findings(plan: Plan) -> list[Finding]:
    """Findings on pairs and gaps; circles and waits are looked at only when every pair and gap stands by itself."""
    alone = [*_pairs(plan), *_gaps(plan)]
    if alone:
        return alone
    pairs = [(pair["before"], pair["after"]) for pair in plan.rule["pairs"]]
    if circle := find_circle(pairs):
        return [_circle(plan, circle, "order_circle", "order pairs")]
    edges = [*pairs, *((gap["from"], gap["to"]) for gap in plan.rule["gaps"])]
    if find_circle(edges):
        return list(_gaps_against_order(plan, pairs)) or [
            _circle(plan, find_circle(edges), "gap_against_order", "pairs and gaps together")
        ]
    return list(_gaps_too_tight(plan))


def waits_between(plan: Plan, start: str) -> dict[str, int]:
    """Least seconds that must pass from `start` to each step that pairs and gaps put after it. Needs no circle."""
    waits = {start: 0}
    edges = _weighted(plan)
    for _ in range(len(plan.steps)):
        for before, after, seconds in edges:
            if before in waits and waits[before] + seconds > waits.get(after, -1):
                waits[after] = waits[before] + seconds
    return waits


def find_circle(edges: list[tuple[str, str]]) -> list[str]:
    """Steps that need each other first, in order; empty when there is no such circle."""
    ahead: dict[str, list[str]] = {}
    for before, after in edges:
        ahead.setdefault(before, []).append(after)
    done: set[str] = set()
    for start in ahead:
        trail: list[str] = []
        pending = [(start, 0)]
        while pending:
            here, turn = pending.pop()
            if turn == 0:
                if here in trail:
                    return trail[trail.index(here) :]
                if here in done:
                    continue
                trail.append(here)
            if turn < len(ahead.get(here, [])):
                pending += [(here, turn + 1), (ahead[here][turn], 0)]
            else:
                trail.remove(here)
                done.add(here)
    return []


def _weighted(plan: Plan) -> list[tuple[str, str, int]]:
    pairs = [(pair["before"], pair["after"], 0) for pair in plan.rule["pairs"]]
    return pairs + [(gap["from"], gap["to"], gap["at_least_s"] or 0) for gap in plan.rule["gaps"]]


def _pairs(plan: Plan) -> Iterator[Finding]:
    seen: dict[tuple[str, str], str] = {}
    for pair in plan.rule["pairs"]:
        where, ends = f"pair:{pair['id']}", (pair["before"], pair["after"])
        yield from _ends(plan, where, "An order pair", ends)
        if ends in seen:
            yield Finding("pair_twice", where, f"The same order is already asked for by {seen[ends]}.", "one pair")
        seen[ends] = pair["id"]


def _gaps(plan: Plan) -> Iterator[Finding]:
    for gap in plan.rule["gaps"]:
        where, least, most = f"gap:{gap['id']}", gap["at_least_s"], gap["at_most_s"]
        yield from _ends(plan, where, "A gap", (gap["from"], gap["to"]))
        if least is None and most is None:
            yield Finding("gap_without_bound", where, "The gap names neither a least nor a most.", "seconds")
        if any(bound is not None and bound < 0 for bound in (least, most)):
            yield Finding("negative_time", where, "The gap has a bound below 0 seconds.", "0 or more")
        elif least is not None and most is not None and least > most:
            yield Finding(
                "gap_bounds_cross",
                where,
                f"At least {least} s and at most {most} s cannot both hold.",
                "least ≤ most",
            )


def _ends(plan: Plan, where: str, what: str, ends: tuple[str, str]) -> Iterator[Finding]:
    for key in ends:
        if key not in plan.steps:
            yield Finding(
                "unknown_step", where, f"{what} names the step {key}, which is not there.", "a step of the list"
            )
    if ends[0] == ends[1]:
        yield Finding("same_step", where, f"{what} names the same step twice.", "two different steps")


def _circle(plan: Plan, circle: list[str], code: str, what: str) -> Finding:
    words = " before ".join(f"step {plan.number[key]}" for key in [*circle, circle[0]])
    return Finding(
        code, f"step:{circle[0]}", f"The {what} run in a circle: {words}.", "an order that has a beginning"
    )


def _gaps_against_order(plan: Plan, pairs: list[tuple[str, str]]) -> Iterator[Finding]:
    for gap in plan.rule["gaps"]:
        if find_circle([*pairs, (gap["from"], gap["to"])]):
            yield Finding(
                "gap_against_order",
                f"gap:{gap['id']}",
                f"The gap runs from step {plan.number[gap['from']]} to step {plan.number[gap['to']]}, "
                "but the order pairs put them the other way round.",
                "the direction of the order pairs",
            )


def _gaps_too_tight(plan: Plan) -> Iterator[Finding]:
    for gap in plan.rule["gaps"]:
        needed: Any = waits_between(plan, gap["from"]).get(gap["to"], 0)
        if gap["at_most_s"] is not None and needed > gap["at_most_s"]:
            yield Finding(
                "gap_too_tight",
                f"gap:{gap['id']}",
                f"At most {gap['at_most_s']} s may pass, but the waits on the way need at least {needed} s.",
                f"at least {needed} s",
            )
