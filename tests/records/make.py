"""Sealed records for tests, made through the real actions from the invented infusion attempt."""

from __future__ import annotations

import uuid
from datetime import UTC, datetime
from typing import Any

from checkoffs.attempts.actions import open_second_sheet, sign_sheet
from checkoffs.attempts.eventlog import as_row
from checkoffs.attempts.models import Attempt, Event, Sheet
from checkoffs.cases.models import CaseTemplate, DrawnCase
from checkoffs.procedures.models import Procedure, ProcedureVersion
from checkoffs.records.actions import seal
from checkoffs.records.models import RecordLeaf
from tests.records import infusion
from tests.world import World

NOW = datetime(2026, 10, 14, 9, 4, tzinfo=UTC)


def version_of(world: World) -> ProcedureVersion:
    """The published infusion procedure, made once."""
    content = infusion.content()
    found = ProcedureVersion.objects.filter(procedure__program=world.program, procedure__title=content["title"])
    if found.exists():
        return found.get()
    procedure = Procedure.objects.create(program=world.program, title=content["title"], created_by=world.instructor)
    return ProcedureVersion.objects.create(
        procedure=procedure, number=3, content=content, digest="ab" * 32,
        published_by=world.instructor, published_at=NOW,
    )  # fmt: skip


def drawn_case(world: World) -> DrawnCase:
    """One case with the key of the infusion."""
    template, _ = CaseTemplate.objects.get_or_create(
        procedure=version_of(world).procedure,
        title=infusion.CASE["title"],
        defaults={"content": {}, "updated_by": world.instructor},
    )
    case = infusion.CASE
    return DrawnCase.objects.create(
        template=template, template_revision=1, seed=7, answer_key=case["key"], calculators="1.0", drawn_at=NOW,
        content={"title": case["title"], "order": case["order"], "lines": case["values"], "values": {}},
    )  # fmt: skip


def open_infusion(world: World, **fields: Any) -> Attempt:
    """An open attempt with its primary sheet and a case, nothing recorded yet."""
    attempt = Attempt.objects.create(
        student=fields.pop("student", None) or world.student, cohort=world.cohort, version=version_of(world),
        case=drawn_case(world), number=fields.pop("number", 1), opened_by=world.evaluator, opened_at=NOW,
        place=fields.pop("place", "station 4"), **fields,
    )  # fmt: skip
    Sheet.objects.create(attempt=attempt, evaluator=world.evaluator, opened_at=NOW)
    return attempt


def record_events(sheet: Sheet, logged: list[dict[str, Any]]) -> None:
    """Store a log on a sheet as its evaluator's, with ids of its own."""
    device = uuid.uuid4()
    names = {event["id"]: str(uuid.uuid5(sheet.pk, event["id"])) for event in logged}
    rows = []
    for event in logged:
        payload = {
            name: names.get(value, value) if isinstance(value, str) else value
            for name, value in event["payload"].items()
        }
        rows.append(
            as_row(
                {**event, "id": names[event["id"]], "sheet": str(sheet.pk), "by": str(sheet.evaluator.opaque),
                 "device": str(device), "payload": payload},
                received_at=NOW,
            )
        )  # fmt: skip
    Event.objects.bulk_create(rows)
    sheet.stored = len(rows)
    sheet.save(update_fields=["stored"])


def finished_infusion(world: World, logged: list[dict[str, Any]] | None = None, **fields: Any) -> Attempt:
    """An attempt whose primary sheet holds everything but the signature."""
    attempt = open_infusion(world, **fields)
    record_events(attempt.sheets.get(), logged or infusion.events())
    return attempt


def signed_infusion(world: World, logged: list[dict[str, Any]] | None = None, **fields: Any) -> Attempt:
    """The same, signed."""
    attempt = finished_infusion(world, logged, **fields)
    sign_sheet(by=world.evaluator, sheet=attempt.sheets.get(), shown="no_statement")
    attempt.refresh_from_db()
    return attempt


def sealed_infusion(world: World, logged: list[dict[str, Any]] | None = None, **fields: Any) -> RecordLeaf:
    """The same, sealed; no PDF yet, because tests of one transaction never commit."""
    return seal(by=world.evaluator, attempt=signed_infusion(world, logged, **fields))


def in_moderation(world: World) -> Attempt:
    """Two signed sheets that differ at critical step 24: performed on the first, not performed on the second."""
    first = infusion.events(marks={24: (955, "performed")}, rate="13.1")
    second = infusion.events(marks={24: (1028, "not_performed")}, rate="13.1", sheet=infusion.SECOND)
    attempt = finished_infusion(world, first)
    other = open_second_sheet(by=world.second_evaluator, attempt=attempt)
    record_events(other, second)
    for sheet in attempt.sheets.all():
        sign_sheet(by=sheet.evaluator, sheet=sheet, shown="no_statement")
    attempt.refresh_from_db()
    return attempt
