"""Which events of a log stand, after every undo and redo; what the undo and redo buttons would take.

A retraction takes its target back; a retraction of a retraction gives it again. Nothing leaves the log. A retraction
whose target has not arrived yet waits for it. A retraction made after the expected value was shown does not touch a
statement made before: that would let the answer be changed after seeing it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from checkoffs.scoring.errors import ScoringError
from checkoffs.scoring.events import UNDOABLE, Event


@dataclass(frozen=True)
class Standing:
    """events: those that stand, in order, retractions left out. undo, redo: the event a new retraction would name.

    revealed: position (in the whole log) of the first reveal of each check. too_late: retractions without effect,
    with the check each was about.
    """

    events: tuple[Event, ...]
    positions: Mapping[str, int]
    revealed: Mapping[str, int]
    too_late: tuple[tuple[Event, str], ...]
    undo: str | None
    redo: str | None


def standing(log: Sequence[Event]) -> Standing:
    """Resolve a log in total order. Raises ScoringError for a retraction of what stays, or in a ring."""
    positions = {event.id: position for position, event in enumerate(log)}
    revealed: dict[str, int] = {}
    for position, event in enumerate(log):
        if event.kind == "revealed":
            revealed.setdefault(event.payload["check"], position)
    by_id = {event.id: event for event in log}
    retractions = [event for event in log if event.kind == "retracted"]
    chains = {event.id: _chain(event, by_id) for event in retractions}
    too_late: list[tuple[Event, str]] = []
    for event in retractions:
        check = _too_late(event, chains, by_id, positions, revealed)
        if check is not None:
            too_late.append((event, check))
    idle = {event.id for event, _ in too_late}
    fallen = _fallen(retractions, chains, idle)
    events = tuple(event for event in log if event.kind != "retracted" and event.id not in fallen)
    undo = next((e for e in reversed(events) if _undoable(e, positions, revealed)), None)
    redo = next(
        (
            event
            for event in reversed(retractions)
            if event.id not in fallen and event.id not in idle and len(chains[event.id]) == 1
            if event.payload["event"] in by_id
        ),
        None,
    )
    if redo and undo and positions[undo.id] > positions[redo.id]:
        redo = None
    return Standing(
        events, positions, revealed, tuple(too_late), undo.id if undo else None, redo.id if redo else None
    )


def _chain(event: Event, by_id: Mapping[str, Event]) -> list[str]:
    """The ids a retraction refers to, one after the other, down to what is no retraction or has not arrived."""
    chain: list[str] = []
    at: Event | None = event
    while at is not None and at.kind == "retracted":
        target = at.payload["event"]
        if target in chain or target == event.id:
            raise ScoringError("retraction_ring", "payload.event", f"{event.id} takes back itself")
        chain.append(target)
        at = by_id.get(target)
    if at is not None and at.kind not in UNDOABLE:
        raise ScoringError("not_retractable", "payload.event", f"{at.kind} cannot be taken back")
    return chain


def _too_late(
    event: Event,
    chains: Mapping[str, list[str]],
    by_id: Mapping[str, Event],
    positions: Mapping[str, int],
    revealed: Mapping[str, int],
) -> str | None:
    base = by_id.get(chains[event.id][-1])
    if base is None or base.kind != "stated" or base.payload["check"] not in revealed:
        return None
    check: str = base.payload["check"]
    return check if positions[base.id] < revealed[check] < positions[event.id] else None


def _fallen(retractions: Sequence[Event], chains: Mapping[str, list[str]], idle: set[str]) -> set[str]:
    """Ids taken back by a retraction that stands; longest chains first, so each is known before its target."""
    fallen: set[str] = set()
    for event in sorted(retractions, key=lambda event: -len(chains[event.id])):
        if event.id not in fallen and event.id not in idle:
            fallen.add(event.payload["event"])
    return fallen


def _undoable(event: Event, positions: Mapping[str, int], revealed: Mapping[str, int]) -> bool:
    if event.kind == "stated" and positions[event.id] < revealed.get(event.payload["check"], -1):
        return False
    return event.kind in UNDOABLE
