"""Rows of the attempts room for tests of other rooms; made with the ORM, so that they need no page."""

from __future__ import annotations

import hashlib
import json
from copy import deepcopy
from datetime import UTC, datetime
from typing import Any
from uuid import uuid4

from uuid6 import uuid7

from checkoffs.attempts.models import Attempt, Event, Sheet
from checkoffs.attempts.sync import read_batch, store_batch
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
        "limits": [
            {"id": "whole", "scope": "whole", "of": None, "limit_s": 300, "on_reaching": "fail", "scalable": True}
        ],
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


def stated_version(world: World) -> ProcedureVersion:
    """The same procedure under another title, which also asks for a stated rate; made once."""
    title = "Starts an infusion by pump"
    found = ProcedureVersion.objects.filter(procedure__program=world.program, procedure__title=title).first()
    if found:
        return found
    content = deepcopy(SMALL) | {"title": title}
    content["rule"]["stated"] = [
        {"id": "rate", "label": "Rate", "step": "a2", "critical": True, "must_be_right": True, "closes_with": None,
         "grades_rounding": False, "no_unit": "wrong"}
    ]  # fmt: skip
    procedure = Procedure.objects.create(program=world.program, title=title, created_by=world.instructor)
    return ProcedureVersion.objects.create(
        procedure=procedure,
        number=1,
        content=content,
        digest="1" * 64,
        published_by=world.instructor,
        published_at=NOW,
    )


class Tablet:
    """Makes well-formed events as a tablet would: one device, counting up, for one sheet."""

    def __init__(self, sheet: Sheet, *, device: str | None = None) -> None:
        self.sheet, self.device, self.seq = sheet, device or str(uuid4()), 0

    def event(self, kind: str, payload: dict[str, Any] | None = None, at_ms: int | None = 0, **changes: Any) -> Any:
        """The next event, as JSON."""
        self.seq += 1
        return {
            "id": str(uuid7()),
            "sheet": str(self.sheet.pk),
            "by": str(self.sheet.evaluator.opaque),
            "device": self.device,
            "seq": self.seq,
            "at_ms": at_ms,
            "wall": "2026-03-02T09:00:00.000Z",
            "kind": kind,
            "payload": payload or {},
            "source": "tablet",
        } | changes

    def run(self, marks: dict[str, str], *, seconds: int = 60) -> list[Any]:
        """Start, one mark each second, finish."""
        events = [self.event("started")]
        for place, (step, mark) in enumerate(marks.items(), 1):
            events.append(self.event("marked", {"step": step, "mark": mark}, place * 1000))
        return [*events, self.event("finished", {}, seconds * 1000)]

    def body(self, events: list[Any]) -> dict[str, Any]:
        """The body of a request."""
        return {"device": self.device, "events": events}

    def send(self, events: list[Any], *, by: Any = None) -> dict[str, Any]:
        """Store the events through the action."""
        batch = read_batch(json.dumps(self.body(events)).encode())
        return store_batch(by=by or self.sheet.evaluator, sheet=Sheet.objects.get(pk=self.sheet.pk), batch=batch)


ALL_DONE = {"a1": "performed", "a2": "performed", "a3": "performed"}
