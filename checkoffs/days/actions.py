"""Writes on the day itself: check-in, opening a slot, no-shows. Planning stands in ``planning``."""

from __future__ import annotations

import secrets
from datetime import datetime

from django.utils import timezone

from checkoffs.attempts import actions as attempts
from checkoffs.attempts.errors import AttemptError
from checkoffs.attempts.models import Attempt, Sheet, SheetKind
from checkoffs.days.errors import DaysError
from checkoffs.days.models import Slot
from checkoffs.days.queries import suitable_templates
from checkoffs.ledger.actions import action, audit
from checkoffs.people.models import User
from checkoffs.procedures.models import Procedure, ProcedureVersion
from checkoffs.records import actions as records


@action
def check_in(*, by: User, slot: Slot, arrived: bool, at: datetime | None = None) -> Slot:
    """The student is here, or the touch was a mistake. A slot whose attempt is open stays as it is."""
    held = Slot.objects.select_for_update(of=("self",)).get(pk=slot.pk)
    if held.attempt_id is None and (held.arrived_at is None) == arrived:
        held.arrived_at = (at or timezone.now()) if arrived else None
        held.save(update_fields=["arrived_at"])
        act = "slot.arrived" if arrived else "slot.arrival_undone"
        audit(by=by, act=act, subject=held, program=slot.station.day.cohort.program)
    return held


@action
def open_slot(*, by: User, slot: Slot, override_reason: str = "", at: datetime | None = None) -> Sheet:
    """Open the attempt a slot was planned for, with a case drawn for it; a second touch finds the same sheet.

    Raises AttemptError as ``attempts.actions.open_attempt`` does, and DaysError without a published version.
    """
    held = Slot.objects.select_for_update(of=("self",)).get(pk=slot.pk)
    if held.attempt_id is not None:
        return _own_sheet(by, held)
    station, now = slot.station, at or timezone.now()
    version = newest_version(station.procedure)
    templates = suitable_templates(version)
    try:
        attempt = attempts.open_attempt(
            by=by,
            student=slot.student,
            cohort=station.day.cohort,
            version=version,
            purpose=slot.purpose,
            place=station.name,
            template=secrets.choice(templates) if templates else None,
            override_reason=override_reason,
            at=now,
        )
    except AttemptError as error:
        if error.code != "already_open":
            raise
        return _opened_without_slot(by, held, error.more["sheet"], now)
    _join(by, held, attempt, now)
    return attempt.sheets.get(kind=SheetKind.PRIMARY)


def _opened_without_slot(by: User, slot: Slot, sheet: str, now: datetime) -> Sheet:
    # The evaluator opened the attempt from the list of students before touching the slot: the two belong together.
    found = Sheet.objects.select_related("attempt__cohort__program").get(pk=sheet)
    if not Slot.objects.filter(attempt=found.attempt).exists():
        _join(by, slot, found.attempt, now)
    return found


def _own_sheet(by: User, slot: Slot) -> Sheet:
    sheet = Sheet.objects.filter(attempt=slot.attempt_id, evaluator=by).first()
    if sheet is None:
        raise AttemptError("not_yours", "sheet", "Somebody else has opened this attempt.")
    return sheet


def _join(by: User, slot: Slot, attempt: Attempt, now: datetime) -> None:
    slot.attempt = attempt
    slot.arrived_at = slot.arrived_at or (None if attempt.no_show else now)
    slot.save(update_fields=["attempt", "arrived_at"])
    program = attempt.cohort.program
    audit(by=by, act="slot.opened", subject=slot, program=program, detail={"attempt": str(attempt.pk)})


@action
def close_no_show(*, by: User, slot: Slot, reason: str, at: datetime | None = None) -> Attempt:
    """The student did not come: an attempt without a sheet, sealed at once. Raises DaysError, AttemptError."""
    held = Slot.objects.select_for_update(of=("self",)).get(pk=slot.pk)
    if held.attempt_id is not None:
        raise DaysError("The attempt of this slot was opened; the student came.")
    station, now = slot.station, at or timezone.now()
    if now < slot.starts_at:
        raise DaysError("The slot has not begun yet.")
    attempt = attempts.close_no_show(
        by=by,
        student=slot.student,
        cohort=station.day.cohort,
        version=newest_version(station.procedure),
        purpose=slot.purpose,
        place=station.name,
        reason=reason,
        at=now,
    )
    _join(by, held, attempt, now)
    records.seal(by=by, attempt=attempt)
    return attempt


def newest_version(procedure: Procedure) -> ProcedureVersion:
    """The version an attempt opened now is scored with. Raises DaysError when none is published."""
    version = procedure.versions.order_by("-number").select_related("procedure").first()
    if version is None:
        raise DaysError(f"{procedure} has no published version yet.")
    return version
