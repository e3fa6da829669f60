"""On the day: check-in, opening a slot once, no-shows sealed at once."""

from __future__ import annotations

import pytest

from checkoffs.attempts.actions import open_attempt
from checkoffs.attempts.errors import AttemptError
from checkoffs.attempts.models import Attempt, Permit
from checkoffs.days import actions
from checkoffs.days.errors import DaysError
from checkoffs.ledger.models import AuditEntry
from checkoffs.procedures.models import ProcedureVersion
from checkoffs.records.models import RecordLeaf
from tests.attempts.make import small_version
from tests.days.make import due_slot
from tests.world import World


def test_check_in_and_back(world: World) -> None:
    """Twice is once; a mistake is taken back; each real change leaves a line."""
    slot = due_slot(world)
    first = actions.check_in(by=world.technician, slot=slot, arrived=True).arrived_at
    assert actions.check_in(by=world.technician, slot=slot, arrived=True).arrived_at == first
    assert actions.check_in(by=world.technician, slot=slot, arrived=False).arrived_at is None
    assert AuditEntry.objects.filter(act__startswith="slot.arriv").count() == 2


def test_opening_a_slot(world: World) -> None:
    """With the newest version, the station's name, the student counted as here; a second touch finds the sheet."""
    slot = due_slot(world)
    old = small_version(world)
    newest = ProcedureVersion.objects.create(
        procedure=old.procedure, number=2, content=old.content, digest="1" * 64,
        published_by=world.instructor, published_at=old.published_at,
    )  # fmt: skip
    sheet = actions.open_slot(by=world.evaluator, slot=slot)
    slot.refresh_from_db()
    assert (sheet.attempt.version, sheet.attempt.place, sheet.evaluator) == (newest, "Station 1", world.evaluator)
    assert slot.attempt == sheet.attempt
    assert slot.arrived_at is not None
    assert actions.open_slot(by=world.evaluator, slot=slot) == sheet
    with pytest.raises(AttemptError, match="Somebody else"):
        actions.open_slot(by=world.second_evaluator, slot=slot)
    actions.check_in(by=world.technician, slot=slot, arrived=False)
    slot.refresh_from_db()
    assert slot.arrived_at is not None  # nobody is sent away from an open sheet


def test_an_attempt_opened_without_its_slot_finds_it(world: World) -> None:
    """The evaluator chose the student from the list first."""
    slot = due_slot(world)
    attempt = open_attempt(
        by=world.evaluator, student=world.student, cohort=world.cohort, version=small_version(world)
    )
    assert actions.open_slot(by=world.evaluator, slot=slot).attempt == attempt
    slot.refresh_from_db()
    assert slot.attempt == attempt


def test_a_blocked_student_is_not_let_in_by_a_slot(world: World) -> None:
    """A permit is obeyed; an instructor's reason opens it; nothing is left behind by the refusal."""
    slot = due_slot(world)
    Permit.objects.create(
        student=world.student, procedure=small_version(world).procedure, may=False, because="Practice first."
    )
    with pytest.raises(AttemptError) as caught:
        actions.open_slot(by=world.evaluator, slot=slot)
    assert caught.value.code == "blocked"
    assert not Attempt.objects.exists()
    sheet = actions.open_slot(by=world.instructor, slot=slot, override_reason="Practised with me this morning.")
    assert sheet.attempt.student == world.student


def test_a_procedure_without_a_version(world: World) -> None:
    """Is named."""
    slot = due_slot(world)
    slot.station.procedure = type(slot.station.procedure).objects.create(
        program=world.program, title="Not yet written", created_by=world.instructor
    )
    with pytest.raises(DaysError, match="Not yet written"):
        actions.open_slot(by=world.evaluator, slot=slot)


def test_a_no_show_is_sealed(world: World) -> None:
    """With the reason in the trail and a record; not before the slot begins, not after it was opened."""
    slot = due_slot(world)
    attempt = actions.close_no_show(by=world.evaluator, slot=slot, reason="Called, no answer.")
    attempt.refresh_from_db()
    slot.refresh_from_db()
    assert attempt.no_show
    assert attempt.sealed_at is not None
    assert slot.arrived_at is None
    assert RecordLeaf.objects.filter(attempt=attempt).count() == 1
    with pytest.raises(DaysError):
        actions.close_no_show(by=world.evaluator, slot=slot, reason="Again.")


def test_nobody_is_missing_before_the_time(world: World) -> None:
    """The slot begins in an hour."""
    slot = due_slot(world, minutes_ago=-60)
    with pytest.raises(DaysError, match="not begun"):
        actions.close_no_show(by=world.evaluator, slot=slot, reason="Not here.")
