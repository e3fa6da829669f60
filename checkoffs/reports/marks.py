"""From a snapshot to the marks that figures are read from. Pure.

``marks_of(snapshot)`` gives for each scoring sheet one line a step: what was marked, when, and whether it was missed
by the rule. ``missed`` is None where that cannot be told or did not apply: not observed, open, not applicable.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

FAILED = {
    "critical_missed", "step_missed", "step_late", "step_too_short", "step_too_long", "measured_out", "measured_unit",
    "step_value_wrong",
}  # fmt: skip
UNTOLD = {None, "not_observed", "not_applicable"}


@dataclass(frozen=True)
class Line:
    """One step of one sheet; ``at_ms`` is counted time."""

    sheet: str
    step: str
    number: int
    critical: bool
    mark: str
    at_ms: int | None
    caught_up: bool
    missed: bool | None


def marks_of(snapshot: Mapping[str, Any]) -> list[Line]:
    """The lines of all scoring sheets; none for a no-show."""
    return [
        line
        for sheet in snapshot["sheets"]
        if sheet["kind"] != "moderation"
        for line in _lines(snapshot, sheet, missed_steps(_reasons(snapshot, sheet), snapshot["rule"]))
    ]


def _reasons(snapshot: Mapping[str, Any], sheet: Mapping[str, Any]) -> Iterable[Mapping[str, Any]]:
    """The sheet's own reasons: with two sheets each has its list, with one it is the decision's."""
    own = next((one for one in snapshot["decision"]["sheets"] if one["id"] == sheet["id"]), None)
    reasons: Iterable[Mapping[str, Any]] = own["reasons"] if own else snapshot["decision"]["reasons"]
    return reasons


def missed_steps(reasons: Iterable[Mapping[str, Any]], rule: Mapping[str, Any]) -> set[str]:
    """Ids of the steps that the reasons say were missed; a wrong stated value misses the step where it is stated."""
    asked = {check["id"]: check.get("step") for check in rule.get("stated", [])}
    missed = set()
    for reason in reasons:
        if reason["code"] in FAILED:
            missed.add(reason["step"])
        elif reason["code"] == "stated_wrong" and asked.get(reason["check"]):
            missed.add(asked[reason["check"]])
    return missed


def _lines(snapshot: Mapping[str, Any], sheet: Mapping[str, Any], missed: set[str]) -> Iterator[Line]:
    for section in snapshot["procedure"]["sections"]:
        for step in section["steps"]:
            seen = sheet["state"]["steps"].get(step["id"], {})
            untold = seen.get("mark") in UNTOLD
            yield Line(
                sheet=sheet["id"],
                step=step["id"],
                number=step["number"],
                critical=bool(step["critical"]),
                mark=seen.get("mark") or "open",
                at_ms=seen.get("at_ms"),
                caught_up=bool(seen.get("caught_up")),
                missed=True if step["id"] in missed else None if untold else False,
            )
