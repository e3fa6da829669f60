"""Moderation: an instructor who scored no sheet settles, with reasons, what the sheets could not."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any

from django.utils import timezone

from checkoffs.attempts.errors import AttemptError
from checkoffs.attempts.eventlog import as_row, by_server
from checkoffs.attempts.models import Attempt, Event, Sheet, SheetKind, State
from checkoffs.attempts.opening import local_day
from checkoffs.attempts.queries import decision_of, rule_of
from checkoffs.ledger.actions import action, audit
from checkoffs.people.models import User
from checkoffs.people.permissions import Access, Act
from checkoffs.scoring.errors import ScoringError
from checkoffs.scoring.events import parse_event


@action
def open_moderation(
    *, by: User, attempt: Attempt, moderator: User | None = None, at: datetime | None = None
) -> Sheet:
    """Claim the moderation of an attempt, or (coordinator) give it to ``moderator``. Claiming twice is one.

    Raises AttemptError: not_waiting, may_not_moderate, may_not_assign, scored_it, own_attempt, claimed.
    """
    now = at or timezone.now()
    held = _locked(attempt)
    chosen = moderator or by
    _check_moderator(held, by, chosen, now)
    there = held.sheets.filter(kind=SheetKind.MODERATION).select_related("evaluator").first()
    if there is not None and there.evaluator_id == chosen.pk:
        return there
    if there is not None:
        raise AttemptError("claimed", "attempt", f"{there.evaluator} is moderating this attempt.")
    sheet = Sheet.objects.create(attempt=held, kind=SheetKind.MODERATION, evaluator=chosen, opened_at=now)
    audit(by=by, act="moderation.opened", subject=sheet, program=held.cohort.program, detail={"moderator": chosen.pk})
    return sheet


@action
def settle_by_moderator(
    *,
    by: User,
    attempt: Attempt,
    settlements: Iterable[Mapping[str, Any]] = (),
    note: str = "",
    how: str = "password",
    at: datetime | None = None,
) -> dict[str, Any]:
    """Settle things on the moderation sheet; returns the decision as it then is.

    settlements: {"about": {"type", "id"}, "verdict", "reason"}. When nothing is left to moderate, the sheet is signed
    and the attempt becomes ``signed``. Raises AttemptError: not_yours, nothing_to_settle, or the code and field of a
    settlement that cannot be read.
    """
    now = at or timezone.now()
    held = _locked(attempt)
    sheet = held.sheets.filter(kind=SheetKind.MODERATION, evaluator=by, signed_at=None).first()
    if sheet is None:
        raise AttemptError("not_yours", "attempt", "Claim the moderation of this attempt first.")
    entries: list[tuple[str, Mapping[str, Any], int | None]] = [("settled", dict(one), None) for one in settlements]
    if note.strip():
        entries.append(("noted", {"text": note.strip()}, None))
    if not entries:
        raise AttemptError("nothing_to_settle", "settlements", "Settle something, or write a note.")
    _write(held, sheet, by, entries, now)
    decision = decision_of(held)
    settled = [{"about": entry[1].get("about"), "verdict": entry[1].get("verdict")} for entry in entries]
    audit(
        by=by,
        act="moderation.settled",
        subject=sheet,
        program=held.cohort.program,
        detail={"outcome": decision["outcome"], "settled": settled},
    )
    if decision["outcome"] != "moderation":
        Sheet.objects.filter(pk=sheet.pk).update(signed_at=now, signed_how=how)
        held.state = State.SIGNED
        held.save(update_fields=["state"])
    return decision


def _write(
    attempt: Attempt, sheet: Sheet, by: User, entries: list[tuple[str, Mapping[str, Any], int | None]], now: datetime
) -> None:
    events = by_server(sheet, by.opaque, entries, at=now)
    rule = rule_of(attempt.version)
    for index, event in enumerate(events):
        try:
            parse_event(rule, event)
        except ScoringError as error:
            raise AttemptError(error.code, f"settlements.{index}.{error.field}", error.message) from error
    Event.objects.bulk_create([as_row(event, received_at=now) for event in events])
    sheet.stored += len(events)
    sheet.save(update_fields=["stored"])


def _check_moderator(attempt: Attempt, by: User, chosen: User, now: datetime) -> None:
    if attempt.state != State.MODERATION:
        raise AttemptError("not_waiting", "attempt", "This attempt does not wait for a moderator.")
    day = local_day(attempt.cohort, now)
    access = Access.of(by, on=day)
    if chosen.pk == by.pk:
        if not access.may(Act.MODERATE, cohort=attempt.cohort):
            raise AttemptError("may_not_moderate", "by", "Only an instructor of the cohort moderates.")
    elif not access.may(Act.NAME_MODERATOR, cohort=attempt.cohort):
        raise AttemptError("may_not_assign", "by", "Only a coordinator names a moderator.")
    elif not Access.of(chosen, on=day).may(Act.SCORE, program=attempt.cohort.program):
        raise AttemptError("may_not_moderate", "moderator", f"{chosen} does not teach in this program.")
    if chosen.pk == attempt.student_id:
        raise AttemptError("own_attempt", "moderator", "Nobody moderates their own attempt.")
    if attempt.sheets.filter(evaluator=chosen).exclude(kind=SheetKind.MODERATION).exists():
        raise AttemptError("scored_it", "moderator", f"{chosen} scored a sheet of this attempt.")


def _locked(attempt: Attempt) -> Attempt:
    rows = Attempt.objects.select_for_update(of=("self",), no_key=True)
    return rows.select_related("cohort__program", "version").get(pk=attempt.pk)
