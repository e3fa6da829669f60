"""Where a student stands in one procedure, from their attempts at it. Reads nothing itself."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from checkoffs.attempts.models import Attempt, Permit, Purpose, State
from checkoffs.procedures.models import Procedure
from checkoffs.review.models import OpenTask

WORDS = {
    "settled": ("competent", "performed", ""),
    "again": ("to do again", "not_performed", "failed"),
    "deciding": ("being decided", "moderation", "look"),
    "running": ("being scored", "kept", ""),
    "open": ("open", "open", "quiet"),
}


@dataclass(frozen=True)
class Standing:
    """One line of *My procedures*. ``last`` is the attempt that decides the state, None where none counts yet."""

    procedure: Procedure
    state: str
    last: Any
    attempts: Sequence[Any]
    permit: Permit | None
    tasks: Sequence[OpenTask]

    @property
    def word(self) -> str:
        """The state in words."""
        return WORDS[self.state][0]

    @property
    def icon(self) -> str:
        """The mark beside the word."""
        return WORDS[self.state][1]

    @property
    def look(self) -> str:
        """The class that goes with the state."""
        return WORDS[self.state][2]

    @property
    def required(self) -> list[OpenTask]:
        """Tasks the next attempt waits for."""
        return [task for task in self.tasks if task.required]


def standing(
    procedure: Procedure, attempts: Sequence[Attempt], permit: Permit | None, tasks: Sequence[OpenTask]
) -> Standing:
    """``attempts`` newest first, each with ``standing_outcome``; void ones, practice and feedback decide nothing."""
    counting = [
        a for a in attempts if a.purpose == Purpose.SUMMATIVE and getattr(a, "standing_outcome", None) != "void"
    ]
    last = counting[0] if counting else None
    return Standing(procedure, _state(last), last, attempts, permit, tasks)


def _state(last: Attempt | None) -> str:
    if last is None:
        return "open"
    if last.state == State.OPEN:
        return "running"
    if last.state != State.SEALED:
        return "deciding"
    return "settled" if getattr(last, "standing_outcome", None) == "satisfactory" else "again"
