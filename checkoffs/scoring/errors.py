"""The one error of the scoring package."""

from __future__ import annotations


class ScoringError(Exception):
    """A rule, an event or a set of sheets that cannot be read.

    code: what is wrong, as data (``unknown_kind``, ``missing``, ``not_a_decimal`` ...).
    field: dotted path of the offending value, e.g. ``payload.step`` or ``limits.0.limit_ms``.
    index: position of the event in the list that was given, None when no list was involved.
    """

    def __init__(self, code: str, field: str, message: str = "", index: int | None = None) -> None:
        self.code = code
        self.field = field
        self.index = index
        self.message = message or f"{field}: {code.replace('_', ' ')}"
        where = "" if index is None else f" (event {index})"
        super().__init__(self.message + where)

    def at(self, index: int) -> ScoringError:
        """The same error, naming the event at ``index``."""
        return ScoringError(self.code, self.field, self.message, index)

    def as_dict(self) -> dict[str, object]:
        """{"code", "field", "index", "message"} for an answer to a browser or a log."""
        return {"code": self.code, "field": self.field, "index": self.index, "message": self.message}
