"""Writing in the attempts room: opening, second sheets, handing over, signing, no-shows, moving to the right student.

Every action takes ``at``, the moment it happens, left out = now. Who may do what is checked here as well as in the
views, so that no caller can forget it. Moderation stands in ``moderation``, the events of devices in ``sync``.
"""

from __future__ import annotations

import uuid
from datetime import datetime
from typing import Any

from django.utils import timezone

from checkoffs.attempts import opening
from checkoffs.attempts.errors import AttemptError
from checkoffs.attempts.eventlog import as_row, by_server
from checkoffs.attempts.models import Attempt, Purpose, Sheet, SheetKind, State
from checkoffs.attempts.moderation import open_moderation, settle_by_moderator
from checkoffs.attempts.queries import decision_of, sheet_state
from checkoffs.cases.actions import draw_case
from checkoffs.cases.errors import CaseError
from checkoffs.cases.models import CaseTemplate
from checkoffs.ledger.actions import action, audit
from checkoffs.people.models import Cohort, User
from checkoffs.people.permissions import Access, Act
from checkoffs.procedures.models import ProcedureVersion

__all__ = [
    "close_no_show",
    "hand_over",
    "move_attempt",
    "open_attempt",
    "open_moderation",
    "open_second_sheet",
    "settle_by_moderator",
    "sign_sheet",
    "take_over",
    "withdraw_second_sheet",
]
SHOWN = ("no_statement", "statement", "refused")


@action
def open_attempt(
    *,
    by: User,
    student: User,
    cohort: Cohort,
    version: ProcedureVersion,
    purpose: str = Purpose.SUMMATIVE,
    place: str = "",
    template: CaseTemplate | None = None,
    override_reason: str = "",
    seed: int | None = None,
    at: datetime | None = None,
) -> Attempt:
    """Open an attempt with its case drawn and its primary sheet, held by ``by``.

    Raises AttemptError: own_attempt, may_not_score, not_enrolled, other_program, retired, case_needed, other_case,
    case_incomplete, cannot_compute, blocked, may_not_override, already_open (with ``sheet``).
    """
    now = at or timezone.now()
    opening.check_template(template, version)
    attempt, overridden = _new_attempt(by, student, cohort, version, purpose, place, override_reason, now)
    _refuse_twice(by, attempt)
    if template is not None:
        attempt.case = _drawn(by, template, seed, now)
    attempt.save(force_insert=True)
    Sheet.objects.create(attempt=attempt, evaluator=by, opened_at=now)
    detail: dict[str, Any] = {"student": student.pk, "version": str(version.pk), "purpose": str(purpose)}
    if overridden:
        detail |= {"overridden": overridden, "reason": override_reason.strip()}
    audit(by=by, act="attempt.opened", subject=attempt, program=cohort.program, detail=detail)
    return attempt


@action
def close_no_show(
    *,
    by: User,
    student: User,
    cohort: Cohort,
    version: ProcedureVersion,
    purpose: str = Purpose.SUMMATIVE,
    place: str = "",
    reason: str,
    at: datetime | None = None,
) -> Attempt:
    """Record that the student did not come: an attempt closed without a sheet, ready to be sealed."""
    now = at or timezone.now()
    _need_reason(reason)
    attempt, _ = _new_attempt(by, student, cohort, version, purpose, place, "", now, obey_permit=False)
    attempt.no_show = True
    attempt.state = State.SIGNED
    attempt.save(force_insert=True)
    detail = {"student": student.pk, "version": str(version.pk), "purpose": str(purpose), "reason": reason.strip()}
    audit(by=by, act="attempt.no_show", subject=attempt, program=cohort.program, detail=detail)
    return attempt


@action
def open_second_sheet(*, by: User, attempt: Attempt, at: datetime | None = None) -> Sheet:
    """A further evaluator scores the attempt blind. Raises AttemptError: closed, already_scoring, may_not_score."""
    now = at or timezone.now()
    held = _locked(attempt)
    _need_open(held)
    access = Access.of(by, on=opening.local_day(held.cohort, now))
    opening.check_scorer(access, held.cohort, held.purpose, held.student)
    if held.sheets.filter(evaluator=by).exists():
        raise AttemptError("already_scoring", "by", "You have a sheet of this attempt already.")
    sheet = Sheet.objects.create(attempt=held, kind=SheetKind.SECOND, evaluator=by, opened_at=now)
    audit(by=by, act="sheet.second_opened", subject=sheet, program=held.cohort.program)
    return sheet


@action
def withdraw_second_sheet(*, by: User, sheet: Sheet, reason: str) -> None:
    """Take back a second sheet on which nothing was recorded, so that the attempt does not wait for it."""
    _need_reason(reason)
    held = _locked_sheet(sheet, by)
    if held.kind != SheetKind.SECOND or held.events.exists():
        raise AttemptError("has_events", "sheet", "Only a second sheet without any event can be withdrawn.")
    audit(
        by=by,
        act="sheet.withdrawn",
        subject=held,
        program=held.attempt.cohort.program,
        detail={"attempt": str(held.attempt_id), "reason": reason.strip()},
    )
    held.delete()
    _settle_state(held.attempt)


@action
def take_over(*, by: User, sheet: Sheet, device: uuid.UUID) -> uuid.UUID | None:
    """The evaluator goes on with another device; returns the device that held the sheet until now."""
    held = _locked_sheet(sheet, by)
    before = held.device
    if before != device:
        held.device = device
        held.save(update_fields=["device"])
        detail = {"from": str(before) if before else None, "to": str(device)}
        audit(by=by, act="sheet.taken_over", subject=held, program=held.attempt.cohort.program, detail=detail)
    sheet.device = device
    return before


@action
def hand_over(*, by: User, sheet: Sheet, to: User, reason: str, at: datetime | None = None) -> Sheet:
    """Give an unsigned sheet to another evaluator, who goes on from there; each event keeps its author.

    By its evaluator, or by an instructor of the cohort when the evaluator cannot.
    """
    now = at or timezone.now()
    _need_reason(reason)
    instructor = Access.of(by).may(Act.OVERRIDE_POLICY, cohort=sheet.attempt.cohort)
    held = _locked_sheet(sheet, sheet.evaluator if instructor else by)
    attempt, before = held.attempt, held.evaluator_id
    access = Access.of(to, on=opening.local_day(attempt.cohort, now))
    opening.check_scorer(access, attempt.cohort, attempt.purpose, attempt.student)
    if attempt.sheets.filter(evaluator=to).exists():
        raise AttemptError("already_scoring", "to", f"{to} has a sheet of this attempt already.")
    events = by_server(held, by.opaque, [("handed_over", {"to": str(to.opaque)}, None)], at=now)
    for event in events:
        as_row(event, received_at=now).save(force_insert=True)
    held.evaluator, held.device, held.stored = to, None, held.stored + len(events)
    held.save(update_fields=["evaluator", "device", "stored"])
    detail = {"from": before, "to": to.pk, "reason": reason.strip()}
    audit(by=by, act="sheet.handed_over", subject=held, program=attempt.cohort.program, detail=detail)
    return held


@action
def sign_sheet(
    *, by: User, sheet: Sheet, shown: str, statement: str = "", how: str = "password", at: datetime | None = None
) -> Sheet:
    """Sign a sheet. When all sheets are signed, the attempt becomes ``signed`` or, if it has to be, ``moderation``.

    shown: ``no_statement``, ``statement`` (with the student's words) or ``refused``. The caller has made sure that it
    is really this person. Raises AttemptError: not_yours, signed, not_finished, unknown_value, statement_missing.
    """
    now = at or timezone.now()
    if shown not in SHOWN:
        raise AttemptError("unknown_value", "shown", f"Say one of {', '.join(SHOWN)}.")
    if (shown == "statement") != bool(statement.strip()):
        raise AttemptError("statement_missing", "statement", "Write the student's statement, or choose no statement.")
    held = _locked_sheet(sheet, by)
    if sheet_state(held)["status"] not in ("finished", "stopped"):
        raise AttemptError("not_finished", "sheet", "Finish or stop the attempt before signing.")
    held.shown, held.statement, held.shown_at = shown, statement.strip(), now
    held.outcome_seen_at = held.outcome_seen_at or now
    held.signed_at, held.signed_how = now, how
    held.save()
    audit(
        by=by,
        act="sheet.signed",
        subject=held,
        program=held.attempt.cohort.program,
        detail={"how": how, "shown": shown},
    )
    _settle_state(held.attempt)
    return held


@action
def move_attempt(*, by: User, attempt: Attempt, student: User, reason: str, at: datetime | None = None) -> Attempt:
    """Put an attempt under the right student before the seal; extra time and number become the right student's.

    By the primary sheet's evaluator, or an instructor of the cohort. A permit of the right student is obeyed, unless
    an instructor moves it, whose reason then stands for the override.
    """
    now = at or timezone.now()
    _need_reason(reason)
    held = _locked(attempt)
    if held.sealed_at is not None:
        raise AttemptError("sealed", "attempt", "This attempt is sealed; only an amendment can change it.")
    day = opening.local_day(held.cohort, now)
    access = Access.of(by, on=day)
    scored = set(held.sheets.values_list("evaluator", flat=True))
    primary = held.sheets.filter(kind=SheetKind.PRIMARY, evaluator=by).exists()
    if not primary and not access.may(Act.OVERRIDE_POLICY, cohort=held.cohort):
        raise AttemptError("not_yours", "by", "Only the evaluator or an instructor of the cohort moves an attempt.")
    if student.pk == held.student_id:
        raise AttemptError("same_student", "student", "This is the student it stands under already.")
    if student.pk == by.pk or student.pk in scored:
        raise AttemptError("own_attempt", "student", "Nobody scores their own attempt.")
    right = opening.enrolment(student, held.cohort, day)
    procedure = held.version.procedure
    override = reason if access.may(Act.OVERRIDE_POLICY, cohort=held.cohort) else ""
    overridden = opening.check_permit(access, student, held.cohort, procedure, held.purpose, day, override)
    before = held.student_id
    held.student, held.time_factor = student, right.time_factor
    held.number = opening.next_number(student, procedure)
    held.save(update_fields=["student", "time_factor", "number"])
    detail = {"from": before, "to": student.pk, "reason": reason.strip(), "overridden": overridden}
    audit(by=by, act="attempt.moved", subject=held, program=held.cohort.program, detail=detail)
    _settle_state(held)
    return held


def _new_attempt(
    by: User,
    student: User,
    cohort: Cohort,
    version: ProcedureVersion,
    purpose: str,
    place: str,
    override_reason: str,
    now: datetime,
    *,
    obey_permit: bool = True,
) -> tuple[Attempt, str]:
    """The unsaved attempt, and what obstacle was overridden. Locks the student, so that numbers never collide."""
    User.objects.select_for_update(no_key=True).get(pk=student.pk)
    day = opening.local_day(cohort, now)
    access = Access.of(by, on=day)
    opening.check_scorer(access, cohort, purpose, student)
    opening.check_version(version, cohort)
    member = opening.enrolment(student, cohort, day)
    overridden = ""
    if obey_permit:
        overridden = opening.check_permit(access, student, cohort, version.procedure, purpose, day, override_reason)
    attempt = Attempt(
        student=student,
        cohort=cohort,
        version=version,
        purpose=purpose,
        place=place.strip(),
        number=opening.next_number(student, version.procedure),
        time_factor=member.time_factor,
        opened_by=by,
        opened_at=now,
    )
    return attempt, overridden


def _refuse_twice(by: User, attempt: Attempt) -> None:
    """A second touch on the opening button must not make a second attempt."""
    twin = Sheet.objects.filter(
        kind=SheetKind.PRIMARY,
        evaluator=by,
        signed_at=None,
        attempt__student=attempt.student,
        attempt__version__procedure=attempt.version.procedure_id,
        attempt__state=State.OPEN,
    ).first()
    if twin is not None:
        raise AttemptError(
            "already_open",
            "student",
            "An attempt of this student at this procedure is open with you.",
            sheet=str(twin.pk),
        )


def _drawn(by: User, template: CaseTemplate, seed: int | None, now: datetime) -> Any:
    try:
        return draw_case(by=by, template=template, seed=seed, at=now)
    except CaseError as error:
        raise AttemptError(error.code, "template", f"The case cannot be drawn. {error}") from error


def _settle_state(attempt: Attempt) -> None:
    """Open until every scoring sheet is signed; then signed, or waiting for a moderator."""
    scored = list(attempt.sheets.exclude(kind=SheetKind.MODERATION))
    if not scored or any(sheet.signed_at is None for sheet in scored):
        return
    needed = decision_of(attempt)["outcome"] == "moderation"
    attempt.state = State.MODERATION if needed else State.SIGNED
    attempt.save(update_fields=["state"])


def _locked(attempt: Attempt) -> Attempt:
    rows = Attempt.objects.select_for_update(of=("self",), no_key=True)
    return rows.select_related("cohort__program", "student", "version__procedure").get(pk=attempt.pk)


def _locked_sheet(sheet: Sheet, by: User) -> Sheet:
    """The sheet as it is now, locked; it must be this person's and unsigned."""
    rows = Sheet.objects.select_for_update(of=("self",), no_key=True)
    held = rows.select_related("attempt__cohort__program", "attempt__student", "attempt__version").get(pk=sheet.pk)
    if held.evaluator_id != by.pk:
        raise AttemptError("not_yours", "sheet", "This sheet is another evaluator's.")
    if held.signed_at is not None:
        raise AttemptError("signed", "sheet", "This sheet is signed.")
    return held


def _need_open(attempt: Attempt) -> None:
    if attempt.state != State.OPEN or attempt.no_show:
        raise AttemptError("closed", "attempt", "This attempt is no longer open.")


def _need_reason(reason: str) -> None:
    if not reason.strip():
        raise AttemptError("reason_missing", "reason", "Give the reason.")
