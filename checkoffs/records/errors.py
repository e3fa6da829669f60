"""What the records room refuses, with code and field."""

from __future__ import annotations


class RecordError(Exception):
    """Something that may not be done with a record now.

    code: why, as data (``already_sealed``, ``unsigned``, ``needs_moderation``, ``superseded`` ...); field: the input
    it is about, "" if none; message: one sentence for the person.
    """

    def __init__(self, code: str, field: str, message: str) -> None:
        super().__init__(message)
        self.code = code
        self.field = field
        self.message = message
