"""Opening, second sheets, devices, signing, no-shows and moving: who may, what is kept, what is refused.

Source of the rights: "Who may do what" of the project's own architecture. That nobody scores themselves, that a
second observer scores blind and that a no-show is a closed attempt are *common practice*.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.db import DatabaseError, transaction

from checkoffs.attempts import actions
from checkoffs.attempts.errors import AttemptError, SyncError
from checkoffs.attempts.models import Attempt, Event, Permit, Purpose, Sheet, State
from checkoffs.attempts.queries import decision_of
from checkoffs.cases.models import DrawnCase
from checkoffs.ledger.queries import entries_about, first_broken_entry
from checkoffs.people.models import Membership
from tests.attempts.make import ALL_DONE, Tablet, small_version, stated_version
from tests.attempts.make import open_attempt as made
from tests.cases.make import pump_template
from tests.world import World

AT = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


def opened(world: World, **changes: Any) -> Attempt:
    fields = {"by": world.evaluator, "student": world.student, "cohort": world.cohort, "at": AT}
    return actions.open_attempt(**(fields | {"version": small_version(world)} | changes))


def code(call: Any, *args: Any, **kwargs: Any) -> str:
    with pytest.raises(AttemptError) as caught:
        call(*args, **kwargs)
    assert caught.value.message
    return caught.value.code


def scored(sheet: Sheet, marks: dict[str, str] | None = None) -> Sheet:
    tablet = Tablet(sheet)
    tablet.send(tablet.run(marks or ALL_DONE))
    return sheet


def sign(sheet: Sheet, **changes: Any) -> Sheet:
    return actions.sign_sheet(**({"by": sheet.evaluator, "sheet": sheet, "shown": "no_statement"} | changes))


# --- opening ---------------------------------------------------------------------------------------------------


def test_opening_makes_the_primary_sheet_with_the_students_extra_time(world: World) -> None:
    Membership.objects.filter(person=world.student).update(time_factor=Decimal("1.5"))
    attempt = opened(world, place=" bay 2 ")
    attempt.refresh_from_db()
    sheet = attempt.sheets.get()
    assert (sheet.kind, sheet.evaluator, sheet.device) == ("primary", world.evaluator, None)
    assert (attempt.number, attempt.time_factor, attempt.place, attempt.state) == (1, Decimal("1.5"), "bay 2", "open")
    entry = entries_about(attempt).get()
    assert (entry.act, entry.by, entry.detail["purpose"]) == ("attempt.opened", world.evaluator, "summative")


def test_numbers_count_up_for_each_student_and_procedure(world: World) -> None:
    first = opened(world)
    second = opened(world, by=world.second_evaluator)
    other = opened(world, student=world.fellow_student)
    stated = stated_version(world)
    elsewhere = opened(world, version=stated, template=pump_template(world, stated.procedure))
    assert [a.number for a in (first, second, other, elsewhere)] == [1, 2, 1, 1]


def test_a_second_touch_leads_to_the_sheet_that_is_open(world: World) -> None:
    attempt = opened(world)
    with pytest.raises(AttemptError) as caught:
        opened(world)
    assert caught.value.as_dict()["sheet"] == str(attempt.sheets.get().pk)
    assert Attempt.objects.count() == 1


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        ({"by": "student"}, "own_attempt"),
        ({"by": "fellow_student"}, "may_not_score"),
        ({"by": "technician"}, "may_not_score"),
        ({"by": "coordinator"}, "may_not_score"),
        ({"by": "other_cohort_evaluator"}, "may_not_score"),
        ({"by": "outsider"}, "may_not_score"),
        ({"student": "other_cohort_student"}, "not_enrolled"),
        ({"student": "second_evaluator"}, "not_enrolled"),
    ],
)
def test_who_may_open_for_whom(world: World, changes: dict[str, str], expected: str) -> None:
    people = {name: world.people[kind] for name, kind in changes.items()}
    assert code(opened, world, **people) == expected
    assert not Attempt.objects.exists()


def test_a_fellow_student_scores_practice_and_nothing_else(world: World) -> None:
    assert opened(world, by=world.fellow_student, purpose=Purpose.PRACTICE).purpose == "practice"
    assert code(opened, world, by=world.fellow_student, purpose=Purpose.FORMATIVE) == "may_not_score"
    far = world.other_cohort_student
    assert code(opened, world, by=far, purpose=Purpose.PRACTICE) == "may_not_score"


def test_rights_and_enrolment_end_with_their_date(world: World) -> None:
    Membership.objects.filter(person=world.student).update(ends=date(2026, 3, 1))
    assert code(opened, world) == "not_enrolled"
    Membership.objects.filter(person=world.student).update(ends=date(2026, 3, 2))
    Membership.objects.filter(person=world.evaluator).update(ends=date(2026, 3, 1))
    assert code(opened, world) == "may_not_score"


def test_versions_of_another_program_or_retired_are_refused(world: World) -> None:
    version = small_version(world)
    version.procedure.retired_at = AT
    version.procedure.save()
    assert code(opened, world, version=version) == "retired"
    version.procedure.program = world.foreign_program
    assert code(opened, world, version=version) == "other_program"


def test_stated_values_need_a_case_that_answers_them(world: World) -> None:
    version = stated_version(world)
    assert code(opened, world, version=version) == "case_needed"
    foreign = pump_template(world, small_version(world).procedure)
    assert code(opened, world, version=version, template=foreign) == "other_case"
    checks = [{"id": "vtbi", "label": "VTBI", "find": "vtbi", "rounding": {"places": 0}}]
    lacking = pump_template(world, version.procedure, checks=checks)
    assert code(opened, world, version=version, template=lacking) == "case_incomplete"
    broken = pump_template(world, version.procedure, fields={"volume": {"fixed": "250 mL"}}, order="Give", label="")
    broken.content["checks"][1]["uses"] = ["volume"]
    assert code(opened, world, version=version, template=broken) == "cannot_compute"
    assert not Attempt.objects.exists()
    assert not DrawnCase.objects.exists()
    attempt = opened(world, version=version, template=pump_template(world, version.procedure), seed=5)
    assert attempt.case is not None
    assert attempt.case.seed == 5


# --- permits ---------------------------------------------------------------------------------------------------


def blocked(world: World, **fields: Any) -> None:
    Permit.objects.create(student=world.student, procedure=small_version(world).procedure, **fields)


def test_a_permit_that_says_no_is_obeyed_for_what_counts(world: World) -> None:
    blocked(world, may=False, because="Remediation is open.")
    with pytest.raises(AttemptError, match="Remediation is open"):
        opened(world)
    assert opened(world, purpose=Purpose.PRACTICE)


def test_not_before_is_a_day_where_the_program_is(world: World) -> None:
    blocked(world, not_before=date(2026, 7, 2))
    assert code(opened, world, at=datetime(2026, 7, 1, 22, 59, tzinfo=UTC)) == "blocked"
    assert opened(world, at=datetime(2026, 7, 1, 23, 1, tzinfo=UTC))  # British Summer Time: already the second


def test_only_an_instructor_overrides_and_the_reason_is_kept(world: World) -> None:
    blocked(world, may=False)
    assert code(opened, world, override_reason="she asked") == "may_not_override"
    assert code(opened, world, by=world.instructor, override_reason="  ") == "blocked"
    attempt = opened(world, by=world.instructor, override_reason="the plan was done on paper")
    assert entries_about(attempt).get().detail["reason"] == "the plan was done on paper"


# --- second sheets, devices, handing over -------------------------------------------------------------------------


def test_a_second_sheet_is_for_another_evaluator_of_an_open_attempt(world: World) -> None:
    attempt = opened(world)
    assert code(actions.open_second_sheet, by=world.evaluator, attempt=attempt) == "already_scoring"
    assert code(actions.open_second_sheet, by=world.student, attempt=attempt) == "own_attempt"
    assert code(actions.open_second_sheet, by=world.fellow_student, attempt=attempt) == "may_not_score"
    sheet = actions.open_second_sheet(by=world.second_evaluator, attempt=attempt)
    assert sheet.kind == "second"
    sign(scored(attempt.sheets.get(kind="primary")))
    sign(scored(sheet))
    assert code(actions.open_second_sheet, by=world.instructor, attempt=attempt) == "closed"


def test_an_unused_second_sheet_can_be_withdrawn(world: World) -> None:
    attempt = opened(world)
    sheet = actions.open_second_sheet(by=world.second_evaluator, attempt=attempt)
    sign(scored(attempt.sheets.get(kind="primary")))
    attempt.refresh_from_db()
    assert attempt.state == State.OPEN
    actions.withdraw_second_sheet(by=world.second_evaluator, sheet=sheet, reason="called away")
    attempt.refresh_from_db()
    assert attempt.state == State.SIGNED
    assert attempt.sheets.count() == 1


def test_a_sheet_with_events_cannot_be_withdrawn(world: World) -> None:
    attempt = opened(world)
    sheet = scored(actions.open_second_sheet(by=world.second_evaluator, attempt=attempt))
    assert code(actions.withdraw_second_sheet, by=world.second_evaluator, sheet=sheet, reason="x") == "has_events"


def test_another_device_takes_over_and_the_first_must_ask_again(world: World) -> None:
    sheet = opened(world).sheets.get()
    first, second = Tablet(sheet), Tablet(sheet)
    first.send([first.event("started")])
    device = uuid4()
    assert str(actions.take_over(by=world.evaluator, sheet=sheet, device=device)) == first.device
    assert actions.take_over(by=world.evaluator, sheet=sheet, device=device) == device
    assert [entry.act for entry in entries_about(sheet)] == ["events.kept", "sheet.taken_over"]
    with pytest.raises(SyncError):
        second.send([second.event("finished", {}, 9)])
    assert code(actions.take_over, by=world.second_evaluator, sheet=sheet, device=device) == "not_yours"


def test_handing_over_keeps_what_was_seen_and_by_whom(world: World) -> None:
    sheet = opened(world).sheets.get()
    tablet = Tablet(sheet)
    tablet.send([tablet.event("started")])
    held = actions.hand_over(by=world.evaluator, sheet=sheet, to=world.second_evaluator, reason="fire drill")
    assert (held.evaluator, held.device, held.stored) == (world.second_evaluator, None, 2)
    event = Event.objects.get(kind="handed_over")
    assert (event.by, event.payload) == (world.evaluator.opaque, {"to": str(world.second_evaluator.opaque)})
    held.refresh_from_db()
    other = Tablet(held)
    other.send([other.event("marked", {"step": "a1", "mark": "performed"}, 9)])
    assert (
        code(actions.hand_over, by=world.second_evaluator, sheet=held, to=world.student, reason="x") == "own_attempt"
    )
    assert code(actions.hand_over, by=world.evaluator, sheet=held, to=world.instructor, reason="x") == "not_yours"
    assert code(actions.hand_over, by=world.second_evaluator, sheet=held, to=world.instructor, reason="") == (
        "reason_missing"
    )


def test_an_instructor_hands_over_for_an_evaluator_who_cannot(world: World) -> None:
    sheet = opened(world).sheets.get()
    fields = {"sheet": sheet, "to": world.second_evaluator, "reason": "taken ill"}
    assert code(actions.hand_over, by=world.second_evaluator, **fields) == "not_yours"
    assert code(actions.hand_over, by=world.outsider, **fields) == "not_yours"
    held = actions.hand_over(by=world.instructor, **fields)
    assert held.evaluator == world.second_evaluator
    detail = entries_about(held).get().detail
    assert (detail["from"], detail["to"]) == (world.evaluator.pk, world.second_evaluator.pk)


# --- signing ---------------------------------------------------------------------------------------------------


def test_signing_freezes_the_sheet_and_closes_the_attempt(world: World) -> None:
    attempt = opened(world)
    sheet = sign(scored(attempt.sheets.get()), shown="statement", statement=" I was nervous. ")
    attempt.refresh_from_db()
    assert (attempt.state, sheet.shown, sheet.statement) == ("signed", "statement", "I was nervous.")
    assert sheet.signed_at
    with pytest.raises(DatabaseError), transaction.atomic():
        Sheet.objects.filter(pk=sheet.pk).update(statement="no")
    assert code(sign, sheet) == "signed"
    assert first_broken_entry() is None


def test_what_cannot_be_signed(world: World) -> None:
    sheet = opened(world).sheets.get()
    assert code(sign, sheet) == "not_finished"
    scored(sheet)
    assert code(sign, sheet, shown="") == "unknown_value"
    assert code(sign, sheet, shown="statement") == "statement_missing"
    assert code(sign, sheet, shown="refused", statement="x") == "statement_missing"
    assert code(sign, sheet, by=world.second_evaluator) == "not_yours"


def test_an_attempt_waits_for_its_second_sheet_and_for_moderation_when_they_differ(world: World) -> None:
    attempt = opened(world)
    second = actions.open_second_sheet(by=world.second_evaluator, attempt=attempt)
    sign(scored(attempt.sheets.get(kind="primary")))
    attempt.refresh_from_db()
    assert attempt.state == State.OPEN
    assert decision_of(attempt)["outcome"] == "satisfactory"  # the second sheet is blind and does not count yet
    sign(scored(second, ALL_DONE | {"a2": "not_performed"}))
    attempt.refresh_from_db()
    assert attempt.state == State.MODERATION
    assert decision_of(attempt)["outcome"] == "moderation"


# --- no-shows and wrong students ------------------------------------------------------------------------------------


def test_a_no_show_is_an_attempt_without_a_sheet(world: World) -> None:
    fields = {"by": world.evaluator, "student": world.student, "cohort": world.cohort}
    version = small_version(world)
    assert code(actions.close_no_show, **fields, version=version, reason=" ", at=AT) == "reason_missing"
    attempt = actions.close_no_show(**fields, version=version, reason="called twice", at=AT)
    assert (attempt.no_show, attempt.state, attempt.sheets.count()) == (True, "signed", 0)
    decision = decision_of(attempt)
    assert (decision["outcome"], decision["reasons"][0]["kind"]) == ("unsatisfactory", "no_show")
    assert code(actions.open_second_sheet, by=world.second_evaluator, attempt=attempt, at=AT) == "closed"


def test_a_wrong_student_is_put_right_with_number_and_time(world: World) -> None:
    made(world, student=world.fellow_student, evaluator=world.second_evaluator)
    Membership.objects.filter(person=world.fellow_student).update(time_factor=Decimal("1.25"))
    attempt = opened(world)
    scored(attempt.sheets.get())
    moved = actions.move_attempt(
        by=world.evaluator, attempt=attempt, student=world.fellow_student, reason="badges swapped", at=AT
    )
    assert (moved.student, moved.number, moved.time_factor) == (world.fellow_student, 2, Decimal("1.25"))
    assert entries_about(attempt).last().detail["reason"] == "badges swapped"  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("by", "to", "expected"),
    [
        ("second_evaluator", "fellow_student", "not_yours"),
        ("fellow_student", "fellow_student", "not_yours"),
        ("evaluator", "student", "same_student"),
        ("evaluator", "evaluator", "own_attempt"),
        ("instructor", "evaluator", "own_attempt"),
        ("evaluator", "other_cohort_student", "not_enrolled"),
    ],
)
def test_who_moves_an_attempt_to_whom(world: World, by: str, to: str, expected: str) -> None:
    attempt = opened(world)
    people = {"by": world.people[by], "student": world.people[to]}
    assert code(actions.move_attempt, **people, attempt=attempt, reason="x", at=AT) == expected


def test_a_sealed_attempt_stays_where_it_is(world: World) -> None:
    attempt = opened(world)
    Attempt.objects.filter(pk=attempt.pk).update(sealed_at=AT + timedelta(hours=1))
    fields = {"by": world.instructor, "attempt": attempt, "student": world.fellow_student}
    assert code(actions.move_attempt, **fields, reason="x", at=AT) == "sealed"
