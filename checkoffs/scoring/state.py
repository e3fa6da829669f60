"""What one sheet shows after its events: the shapes of the fold's answer.

SheetState.as_dict() (JSON, the browser's fold gives the very same)::

    {"fold": "1", "status": "not_started|running|paused|finished|stopped",
     "counted_ms": int|null, "raw_ms": int|null,      at the end or the last standing event; null = paper, no times
     "started_wall": text|null, "finished_ms": int|null,                                      counted
     "pauses": [{"from_ms", "to_ms", "reason", "counts"}],                                    raw
     "bridges": [{"before_ms", "after_ms", "how", "backwards"}],                              raw
     "identity": {"how", "at_ms"}|null,
     "steps": {every step id: {"mark": code|null, "at_ms": counted|null, "raw_ms": int|null, "caught_up": bool,
               "in_time": "yes|no|unsure"|null, "event": id|null,
               "measured": {"value", "unit", "expected"}|null, "timed": {"start_ms", "stop_ms"}|null}},
     "stated": {check ids said or shown: {"number", "unit", "at_ms", "event": null when nothing counts,
               "verdict": {"code", ...}|null, "differs": bool, "revealed_ms": counted|null,
               "later": [{"event", "kind": "stated|retracted", "number", "unit", "at_ms",
                          "why": "revealed|closed"}]}},
     "prompts": [{"id", "kind", "step", "at_ms"}],
     "breaches": [{"id", "kind", "step", "at_ms", "noticed": bool|null, "corrected": bool|null}],
     "discrepancies": [{"id", "which", "caught", "at_ms"}], "notes": [{"id", "step", "text", "at_ms"}],
     "rating": 1..5|null, "stop": {"reason", "text"}|null,
     "settled": {"pair:p1": {"verdict", "reason", "event"}}, "undo": event id|null, "redo": event id|null}

All ``at_ms`` in it are counted milliseconds, null for paper without times. ``undo`` and ``redo`` are the ids that
a new ``retracted`` event would name. ``caught_up`` is true for marks said to be, made after the end, or without time.
``differs``: two ``verified`` events disagree about the counting statement; the first one stays.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from checkoffs.scoring.clock import Clock

Json = dict[str, Any]


@dataclass(frozen=True)
class StepState:
    """What is known of one step. ``position`` orders marks made in the same millisecond; it is not shown."""

    mark: str | None = None
    raw_ms: int | None = None
    at_ms: int | None = None
    caught_up: bool = False
    in_time: str | None = None
    event: str | None = None
    position: int = -1
    measured: Json | None = None
    timed: Json | None = None

    def as_dict(self) -> Json:
        """See the module's docstring, "steps"."""
        return {
            "mark": self.mark,
            "at_ms": self.at_ms,
            "raw_ms": self.raw_ms,
            "caught_up": self.caught_up,
            "in_time": self.in_time,
            "event": self.event,
            "measured": self.measured,
            "timed": self.timed,
        }


@dataclass(frozen=True)
class StatedState:
    """The statement that counts for one check, and what was said too late to count."""

    number: str | None
    unit: str | None
    at_ms: int | None
    event: str | None
    verdict: Json | None
    differs: bool
    revealed_ms: int | None
    later: tuple[Json, ...]

    def as_dict(self) -> Json:
        """See the module's docstring, "stated"."""
        return {
            "number": self.number,
            "unit": self.unit,
            "at_ms": self.at_ms,
            "event": self.event,
            "verdict": self.verdict,
            "differs": self.differs,
            "revealed_ms": self.revealed_ms,
            "later": list(self.later),
        }


@dataclass(frozen=True)
class SheetState:
    """One sheet, folded."""

    fold: str
    clock: Clock
    started_wall: str | None
    identity: Json | None
    steps: Mapping[str, StepState]
    stated: Mapping[str, StatedState]
    prompts: tuple[Json, ...]
    breaches: tuple[Json, ...]
    discrepancies: tuple[Json, ...]
    notes: tuple[Json, ...]
    rating: int | None
    stop: Json | None
    settled: Mapping[str, Json]
    undo: str | None
    redo: str | None

    def as_dict(self) -> Json:
        """See the module's docstring."""
        clock = self.clock
        raw = clock.end_ms if clock.ended else clock.latest_ms
        return {
            "fold": self.fold,
            "status": clock.status,
            "counted_ms": clock.now(),
            "raw_ms": raw,
            "started_wall": self.started_wall,
            "finished_ms": clock.now() if clock.ended else None,
            "pauses": [pause.as_dict() for pause in clock.pauses],
            "bridges": [bridge.as_dict() for bridge in clock.bridges],
            "identity": self.identity,
            "steps": {key: step.as_dict() for key, step in self.steps.items()},
            "stated": {key: stated.as_dict() for key, stated in self.stated.items()},
            "prompts": list(self.prompts),
            "breaches": list(self.breaches),
            "discrepancies": list(self.discrepancies),
            "notes": list(self.notes),
            "rating": self.rating,
            "stop": self.stop,
            "settled": dict(self.settled),
            "undo": self.undo,
            "redo": self.redo,
        }
