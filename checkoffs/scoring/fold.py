"""The fold: one sheet's events to what the sheet shows. Pure; time comes only from the events.

``fold(rule, events)`` takes the events of one sheet in any order, with repetitions, whole or cut anywhere. The
rule may be a parsed Rule or its document. The answer's shape stands in ``state``.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from checkoffs.scoring.clock import Clock, read_clock
from checkoffs.scoring.events import Event, parse_log
from checkoffs.scoring.rule import Rule, parse_rule
from checkoffs.scoring.standing import Standing, standing
from checkoffs.scoring.state import Json, SheetState, StepState
from checkoffs.scoring.stated import stated_values

FOLD_VERSION = "1"


def fold(rule: Rule | Mapping[str, Any], events: Iterable[Any]) -> SheetState:
    """Fold a sheet. Raises ScoringError for a rule or an event that cannot be read; nothing is skipped."""
    parsed = rule if isinstance(rule, Rule) else parse_rule(rule)
    return fold_log(parsed, parse_log(parsed, events))


def fold_log(rule: Rule, log: Sequence[Event]) -> SheetState:
    """Fold a log that is already read and in order."""
    stands = standing(log)
    clock = read_clock(stands.events)
    steps = _steps(rule, stands, clock)
    started = _first(stands.events, "started")
    identity = _last(stands.events, "identity_confirmed")
    rated = _last(stands.events, "rated")
    stopped = _first(stands.events, "stopped")
    return SheetState(
        fold=FOLD_VERSION,
        clock=clock,
        started_wall=started.wall if started else None,
        identity={"how": identity.payload["how"], "at_ms": counted_at(clock, identity)} if identity else None,
        steps=steps,
        stated=stated_values(rule, stands, clock, steps),
        prompts=tuple(_listed(stands, clock, "prompted", ("kind", "step"))),
        breaches=tuple(_breaches(stands, clock)),
        discrepancies=tuple(_listed(stands, clock, "discrepancy", ("which", "caught"))),
        notes=tuple(_listed(stands, clock, "noted", ("step", "text"))),
        rating=rated.payload["rating"] if rated else None,
        stop={"reason": stopped.payload["reason"], "text": stopped.payload.get("text")} if stopped else None,
        settled=_settled(stands.events),
        undo=stands.undo,
        redo=stands.redo,
    )


def counted_at(clock: Clock, event: Event) -> int | None:
    """Counted milliseconds of an event; None without a time."""
    return None if event.at_ms is None else clock.counted(event.at_ms)


def _steps(rule: Rule, stands: Standing, clock: Clock) -> dict[str, StepState]:
    steps = {step: StepState() for step in rule.steps}
    ended = False
    for event in stands.events:
        ended = ended or event.kind in ("finished", "stopped")
        if event.kind not in ("marked", "measured", "timed"):
            continue
        payload, key = event.payload, event.payload["step"]
        if event.kind == "measured":
            measured = {name: payload.get(name) for name in ("value", "unit", "expected")}
            steps[key] = replace(steps[key], measured=measured)
        elif event.kind == "timed":
            timed = {"start_ms": payload["start_ms"], "stop_ms": payload["stop_ms"]}
            steps[key] = replace(steps[key], timed=timed)
        else:
            steps[key] = replace(
                steps[key],
                mark=payload["mark"],
                raw_ms=event.at_ms,
                at_ms=counted_at(clock, event),
                caught_up=bool(payload.get("caught_up")) or event.at_ms is None or ended,
                in_time=payload.get("in_time"),
                event=event.id,
                position=stands.positions[event.id],
            )
    return steps


def _breaches(stands: Standing, clock: Clock) -> list[Json]:
    """Breaches with the details that later events filled in. Details of a breach that was taken back go with it."""
    found: dict[str, Json] = {}
    for event in stands.events:
        if event.kind != "breach" or event.payload.get("of") in stands.positions:
            continue
        found[event.id] = {
            "id": event.id,
            "kind": event.payload["kind"],
            "step": event.payload.get("step"),
            "at_ms": counted_at(clock, event),
            "noticed": event.payload.get("noticed"),
            "corrected": event.payload.get("corrected"),
        }
    for event in stands.events:
        breach = found.get(event.payload.get("of") or "") if event.kind == "breach" else None
        for name in ("noticed", "corrected", "step"):
            if breach is not None and event.payload.get(name) is not None:
                breach[name] = event.payload[name]
    return list(found.values())


def _listed(stands: Standing, clock: Clock, kind: str, fields: tuple[str, ...]) -> list[Json]:
    return [
        {"id": event.id, "at_ms": counted_at(clock, event)} | {name: event.payload.get(name) for name in fields}
        for event in stands.events
        if event.kind == kind
    ]


def _settled(events: Sequence[Event]) -> dict[str, Json]:
    found: dict[str, Json] = {}
    for event in events:
        if event.kind == "settled":
            about = event.payload["about"]
            found[f"{about['type']}:{about['id']}"] = {
                "verdict": event.payload["verdict"],
                "reason": event.payload["reason"],
                "event": event.id,
            }
    return found


def _first(events: Sequence[Event], kind: str) -> Event | None:
    return next((event for event in events if event.kind == kind), None)


def _last(events: Sequence[Event], kind: str) -> Event | None:
    return next((event for event in reversed(events) if event.kind == kind), None)
