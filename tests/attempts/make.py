"""Rows of the attempts room for tests of other rooms; made with the ORM, so that they need no page."""

from __future__ import annotations

import hashlib
from datetime import UTC, datetime
from typing import Any

from uuid6 import uuid7

from checkoffs.attempts.models import Attempt, Event, Sheet
from checkoffs.procedures.models import Procedure, ProcedureVersion
from tests.world import World

NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
SMALL = {
    "title": "Clean hands before contact",
    "summary": "",
    "sections": [
        {
            "id": "a",
            "title": "At the sink",
            "steps": [
                {"id": "a1", "text": "Wets both hands", "cue": "", "why": "", "right": [], "critical": False,
                 "critical_reason": "", "marks": None, "subpoints": [], "optional": False, "phrases": [],
                 "measured": None, "timed": None},
                {"id": "a2", "text": "Rubs all surfaces", "cue": "thumbs too", "why": "Missed skin stays dirty.",
                 "right": ["Palms, backs, thumbs, nails"], "critical": True,
                 "critical_reason": "Unwashed hands carry organisms to the patient.", "marks": None,
                 "subpoints": [], "optional": False, "phrases": [], "measured": None, "timed": None},
                {"id": "a3", "text": "Dries with a clean towel", "cue": "", "why": "", "right": [], "critical": False,
                 "critical_reason": "", "marks": None, "subpoints": [], "optional": False, "phrases": [],
                 "measured": None, "timed": None},
            ],
        }
    ],
    "rule": {
        "critical_all": True, "automatic_fail": ["breach_unnoticed", "safety_stop"], "mark_scale": {},
        "score": {"kind": "none", "cut": None, "per_section": {}, "retake_cap": None},
        "limits": [{"id": "whole", "scope": "whole", "of": None, "limit_s": 300, "on_reaching": "fail", "scalable": True}],
        "pairs": [{"id": "p1", "before": "a1", "after": "a2", "critical": False}], "gaps": [], "stated": [],
        "prompts": {"total": None, "by_kind": {}}, "identity_required": False,
    },
}  # fmt: skip


def small_version(world: World) -> ProcedureVersion:
    """A published three-step procedure of the world's program, made once."""
    found = ProcedureVersion.objects.filter(procedure__program=world.program, procedure__title=SMALL["title"]).first()
    if found:
        return found
    procedure = Procedure.objects.create(program=world.program, title=SMALL["title"], created_by=world.instructor)
    return ProcedureVersion.objects.create(
        procedure=procedure,
        number=1,
        content=SMALL,
        digest="0" * 64,
        published_by=world.instructor,
        published_at=NOW,
    )


def open_attempt(world: World, *, student: Any = None, evaluator: Any = None, **fields: Any) -> Attempt:
    """An open attempt with its primary sheet."""
    attempt = Attempt.objects.create(
        student=student or world.student,
        cohort=world.cohort,
        version=fields.pop("version", None) or small_version(world),
        number=fields.pop("number", 1),
        opened_by=evaluator or world.evaluator,
        opened_at=NOW,
        **fields,
    )
    Sheet.objects.create(attempt=attempt, evaluator=evaluator or world.evaluator, opened_at=NOW)
    return attempt


def store_event(sheet: Sheet, *, kind: str, payload: dict[str, Any] | None = None, at_ms: int | None = 0) -> Event:
    """One stored event of the sheet's evaluator, from a device of its own."""
    made = uuid7()
    return Event.objects.create(
        id=made, sheet=sheet, by=sheet.evaluator.opaque, device=uuid7(), seq=1, at_ms=at_ms,
        wall="2026-03-02T09:00:00.000Z", kind=kind, payload=payload or {},
        digest=hashlib.sha256(made.bytes).hexdigest(), received_at=NOW,
    )  # fmt: skip
