"""What can go wrong with an export."""

from __future__ import annotations


class ReportError(ValueError):
    """``code`` says what is wrong, ``message`` says it to a person."""

    def __init__(self, code: str, message: str) -> None:
        super().__init__(message)
        self.code, self.message = code, message
