"""What can be wrong with a case template, said with the field it stands in."""

from __future__ import annotations


class CaseError(Exception):
    """A case that cannot be drawn.

    code: what is wrong, as data (``missing``, ``unknown_slot``, ``cannot_compute`` ...).
    field: dotted path in the template document, such as ``fields.weight`` or ``checks.0.rounding``.
    message: one sentence for the person who writes the case.
    """

    def __init__(self, code: str, field: str, message: str) -> None:
        super().__init__(f"{field}: {message}" if field else message)
        self.code = code
        self.field = field
        self.message = message

    def as_dict(self) -> dict[str, str]:
        """{"code", "field", "message"}."""
        return {"code": self.code, "field": self.field, "message": self.message}


class TemplateRefusedError(Exception):
    """A template that is not kept; ``errors`` say why, each with its field."""

    def __init__(self, errors: list[CaseError]) -> None:
        super().__init__(f"{len(errors)} reasons against it: {errors[0]}")
        self.errors = errors
