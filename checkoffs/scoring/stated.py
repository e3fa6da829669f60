"""Stated values: which statement counts, and what its verdict means under the rule.

The last statement that stands counts, if it was made before the expected value was shown and before the step that
closes self-correction was done. A first statement after that step counts (the evaluator recorded late), a first
statement after the value was shown does not.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from checkoffs.scoring.clock import Clock
from checkoffs.scoring.events import Event
from checkoffs.scoring.rule_parts import Check, Rule
from checkoffs.scoring.standing import Standing
from checkoffs.scoring.state import Json, StatedState, StepState

DONE = ("performed", "self_corrected", "prompted")


def stated_values(
    rule: Rule, stands: Standing, clock: Clock, steps: Mapping[str, StepState]
) -> dict[str, StatedState]:
    """The state of every check that was said or shown, in the rule's order."""
    found = {}
    for check in rule.stated:
        said = [e for e in stands.events if e.kind == "stated" and e.payload["check"] == check.id]
        late = [e for e, about in stands.too_late if about == check.id]
        if said or late or check.id in stands.revealed:
            found[check.id] = _one(check, said, late, stands, clock, steps)
    return found


def right(check: Check, verdict: Mapping[str, Any] | None) -> bool | None:
    """Whether a verdict is good enough under the rule; None when it cannot be told."""
    if verdict is None:
        return None
    code = verdict["code"]
    if code == "missing_unit" and check.no_unit == "accepted":
        code = verdict.get("number")
    if code in (None, "unreadable"):
        return None
    return code == "right" or (code == "right_other_rounding" and not check.grades_rounding)


def _one(
    check: Check,
    said: Sequence[Event],
    late: Sequence[Event],
    stands: Standing,
    clock: Clock,
    steps: Mapping[str, StepState],
) -> StatedState:
    shown = stands.revealed.get(check.id)
    closed = _closed(check, steps)
    counting: Event | None = None
    later: list[tuple[int, Json]] = [(stands.positions[e.id], _entry(e, clock, "revealed")) for e in late]
    for event in said:
        position = stands.positions[event.id]
        if shown is not None and position > shown:
            later.append((position, _entry(event, clock, "revealed")))
        elif counting is not None and closed is not None and position > closed:
            later.append((position, _entry(event, clock, "closed")))
        else:
            counting = event
    verdicts = _verdicts(counting, stands.events)
    return StatedState(
        number=counting.payload["number"] if counting else None,
        unit=counting.payload["unit"] if counting else None,
        at_ms=_at(clock, counting) if counting else None,
        event=counting.id if counting else None,
        verdict=verdicts[0] if verdicts else None,
        differs=any(verdict["code"] != verdicts[0]["code"] for verdict in verdicts),
        revealed_ms=_revealed_ms(check, stands, clock),
        later=tuple(entry for _, entry in sorted(later, key=lambda pair: pair[0])),
    )


def _closed(check: Check, steps: Mapping[str, StepState]) -> int | None:
    step = steps[check.closes_with] if check.closes_with else None
    return step.position if step and step.mark in DONE and not step.caught_up else None


def _verdicts(counting: Event | None, events: Sequence[Event]) -> list[Json]:
    if counting is None:
        return []
    return [
        dict(event.payload["verdict"])
        for event in events
        if event.kind == "verified" and event.payload["statement"] == counting.id
    ]


def _revealed_ms(check: Check, stands: Standing, clock: Clock) -> int | None:
    event = next((e for e in stands.events if e.kind == "revealed" and e.payload["check"] == check.id), None)
    return _at(clock, event) if event else None


def _entry(event: Event, clock: Clock, why: str) -> Json:
    return {
        "event": event.id,
        "kind": event.kind,
        "number": event.payload.get("number"),
        "unit": event.payload.get("unit"),
        "at_ms": _at(clock, event),
        "why": why,
    }


def _at(clock: Clock, event: Event) -> int | None:
    return None if event.at_ms is None else clock.counted(event.at_ms)
