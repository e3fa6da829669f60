"""What the days room refuses."""

from __future__ import annotations


class DaysError(Exception):
    """A plan that is refused; ``field`` names the form field it belongs to, empty for the whole form."""

    def __init__(self, message: str, *, field: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.field = field
