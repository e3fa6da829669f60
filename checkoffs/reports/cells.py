"""Where one student stands in one procedure, as a cell of the cohort's table. Reads nothing itself."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from checkoffs.attempts.models import Attempt, State

# code: word, mark, class of the cell; in the order in which they need somebody's hand
STATES: dict[str, tuple[str, str, str]] = {
    "moderate": ("moderate", "moderation", "look"),
    "retake": ("retake", "not_performed", "failed"),
    "running": ("being scored", "kept", ""),
    "booked": ("booked", "booked", ""),
    "open": ("open", "open", "quiet"),
    "seen": ("seen", "performed", ""),
}


@dataclass(frozen=True)
class Cell:
    """``code`` is a key of STATES; ``at`` the day that belongs to it: of the attempt, or of the booked slot."""

    code: str
    at: datetime | None
    attempts: Sequence[Any]
    last: Any = None
    why: Sequence[int] = field(default=())
    booked: datetime | None = None

    @property
    def word(self) -> str:
        """The state without its day."""
        if self.code == "retake" and self.booked is None:
            return "retake owed"
        return STATES[self.code][0]

    @property
    def icon(self) -> str:
        """The mark beside the word."""
        return STATES[self.code][1]

    @property
    def look(self) -> str:
        """The class of the cell."""
        return STATES[self.code][2]

    @property
    def seen_by(self) -> list[str]:
        """Who scored the last attempt that counts."""
        if self.last is None:
            return []
        return [sheet.evaluator.full_name for sheet in self.last.sheets.all() if sheet.kind != "moderation"]


def cell(attempts: Sequence[Attempt], booked: datetime | None, missed: dict[Any, list[int]]) -> Cell:
    """``attempts``: counting ones, newest first, with ``standing_outcome``; ``missed``: critical steps by attempt."""
    standing = [attempt for attempt in attempts if _outcome(attempt) != "void"]
    if not standing:
        return Cell("booked" if booked else "open", booked, attempts, booked=booked)
    last = standing[0]
    if last.state == State.MODERATION:
        return Cell("moderate", None, attempts, last)
    if last.state != State.SEALED:
        return Cell("running", None, attempts, last)
    if _outcome(last) == "satisfactory":
        return Cell("seen", last.opened_at, attempts, last)
    return Cell("retake", booked, attempts, last, missed.get(last.pk, []), booked)


def _outcome(attempt: Attempt) -> str | None:
    found: str | None = getattr(attempt, "standing_outcome", None)
    return found
