"""What the attempts room refuses, with code and field."""

from __future__ import annotations

from typing import Any


class AttemptError(Exception):
    """Something that may not be done with an attempt now.

    code: why, as data (``blocked``, ``already_open``, ``own_attempt`` ...); field: the input it is about, "" if none;
    message: one sentence for the person; more: further values by name.
    """

    def __init__(self, code: str, field: str, message: str, **more: Any) -> None:
        super().__init__(message)
        self.code = code
        self.field = field
        self.message = message
        self.more = more

    def as_dict(self) -> dict[str, Any]:
        """{"code", "field", "message", ...}."""
        return {"code": self.code, "field": self.field, "message": self.message, **self.more}


class SyncError(AttemptError):
    """A batch that was not taken; nothing of it is stored. ``status`` is the HTTP status of the answer."""

    def __init__(self, status: int, code: str, message: str, *, field: str = "", **more: Any) -> None:
        super().__init__(code, field, message, **more)
        self.status = status

    def as_dict(self) -> dict[str, Any]:
        """{"code", "message", "field"?, "index"?, ...}."""
        return {name: value for name, value in super().as_dict().items() if value != ""}
