"""What the procedures room refuses, with what a page needs to say it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from checkoffs.procedures.checks_finding import Finding
from checkoffs.procedures.content_shape import Problem


@dataclass(frozen=True)
class ColleagueChange:
    """One save that came in between: who, when, what."""

    by: str
    at: datetime
    changed: tuple[str, ...]


class ProcedureError(Exception):
    """Base of what this room refuses; ``message`` is for the person, ``code`` for programs."""

    code = "refused"

    def __init__(self, message: str) -> None:
        super().__init__(message)
        self.message = message


class ConflictError(ProcedureError):
    """The draft moved on since it was read. ``revision``: where it is now; ``changes``: what came in between."""

    code = "conflict"

    def __init__(self, message: str, revision: int, changes: list[ColleagueChange]) -> None:
        super().__init__(message)
        self.revision = revision
        self.changes = changes


class ContentError(ProcedureError):
    """The document's shape is not acceptable; ``problems`` say where, what and what would do."""

    code = "shape"

    def __init__(self, problems: list[Problem]) -> None:
        first = problems[0]
        super().__init__(f"{first.path} {first.message}; accepted: {first.accepted}.")
        self.problems = problems


class PublishRefusedError(ProcedureError):
    """The draft may not be published; ``findings`` are the reasons."""

    code = "findings"

    def __init__(self, findings: list[Finding]) -> None:
        super().__init__(f"The draft is not published: {len(findings)} reasons against it.")
        self.findings = findings


class NoDraftError(ProcedureError):
    """There is no draft to work on."""

    code = "no_draft"


class RetiredError(ProcedureError):
    """The procedure is out of use."""

    code = "retired"
