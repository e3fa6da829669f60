"""What follows from a seal: tasks and permit, receipt, confirmation; obeyed by opening the next attempt.

Remediation before a retest, a block with an override, and a receipt that is no agreement: *common practice*.
"""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from checkoffs.attempts.actions import open_attempt
from checkoffs.attempts.errors import AttemptError
from checkoffs.attempts.models import Permit
from checkoffs.attempts.opening import obstacle
from checkoffs.ledger.models import AuditEntry
from checkoffs.records.actions import amend, void
from checkoffs.review import actions
from checkoffs.review.errors import ReviewError
from checkoffs.review.models import Acknowledgement, FollowUp, OpenTask
from tests.attempts.make import small_version
from tests.records.make import sealed_infusion
from tests.reports import make
from tests.world import World


def permit(world: World) -> Permit:
    return Permit.objects.get(student=world.student)


def confirm_all(world: World) -> None:
    for task in OpenTask.objects.filter(required=True):
        actions.confirm(by=world.instructor, task=task, confirmed=True)


def test_catching_up_draws_once_and_again_changes_nothing(world: World) -> None:
    leaf = sealed_infusion(world)
    assert (actions.catch_up(), actions.catch_up()) == (1, 0)
    required = set(OpenTask.objects.filter(required=True).values_list("key", flat=True))
    assert required == {"stated:rate", "step:s24"}
    assert FollowUp.objects.get().leaf == leaf
    assert AuditEntry.objects.filter(act="review.followed_up").count() == 1


def test_permit_waits_for_the_tasks_and_for_the_next_day(world: World) -> None:
    """The attempt was on 14 October 2026 in London; the next may be on the 15th, once both tasks are confirmed."""
    sealed_infusion(world)
    actions.catch_up()
    assert (permit(world).may, permit(world).not_before) == (False, date(2026, 10, 15))
    assert "2 tasks are still to be confirmed" in permit(world).because
    confirm_all(world)
    assert (permit(world).may, permit(world).not_before) == (True, date(2026, 10, 15))


@pytest.mark.parametrize(
    ("confirmed", "day", "blocked"),
    [(False, date(2026, 10, 20), True), (True, date(2026, 10, 14), True), (True, date(2026, 10, 15), False)],
)
def test_what_stands_in_the_way(world: World, confirmed: bool, day: date, blocked: bool) -> None:
    """Open tasks block on any day; confirmed ones leave only the day of the attempt itself blocked."""
    leaf = sealed_infusion(world)
    actions.catch_up()
    if confirmed:
        confirm_all(world)
    procedure = leaf.attempt.version.procedure
    assert bool(obstacle(world.student, procedure, "summative", day)) is blocked
    assert obstacle(world.student, procedure, "practice", day) == ""


def test_opening_obeys_the_permit_and_an_instructor_may_override(world: World) -> None:
    make.no_show(world, world.student)
    actions.catch_up()
    asked: dict[str, Any] = {"student": world.student, "cohort": world.cohort, "version": small_version(world)}
    with pytest.raises(AttemptError) as refused:
        open_attempt(by=world.evaluator, template=None, **asked)
    assert refused.value.code == "blocked"
    opened = open_attempt(by=world.instructor, template=None, override_reason="The lab was closed.", **asked)
    assert opened.number == 2


def test_an_amendment_to_satisfactory_lifts_tasks_and_permit(world: World) -> None:
    leaf = sealed_infusion(world)
    actions.catch_up()
    amend(by=world.instructor, leaf=leaf, reason="Heard wrong.", changes={"outcome": "satisfactory"})
    actions.catch_up()
    assert not OpenTask.objects.filter(required=True).exists()
    assert (permit(world).may, permit(world).not_before, permit(world).because) == (True, None, "")


def test_a_void_brings_the_attempt_before_back_into_force(world: World) -> None:
    sealed_infusion(world)
    second = make.passed(world, number=2)
    actions.catch_up()
    assert permit(world).may
    assert not OpenTask.objects.filter(required=True).exists()
    void(by=world.coordinator, leaf=second, reason="Wrong student at the station.")
    actions.catch_up()
    assert not permit(world).may
    assert OpenTask.objects.filter(required=True, attempt__number=1).count() == 2


def test_what_was_done_stays_done_when_tasks_are_drawn_again(world: World) -> None:
    leaf = sealed_infusion(world)
    actions.catch_up()
    task = OpenTask.objects.get(key="step:s24")
    actions.mark_done(by=world.student, task=task, done=True)
    amend(by=world.instructor, leaf=leaf, reason="Spelling.", changes={"outcome": None, "text": "The name."})
    actions.catch_up()
    task.refresh_from_db()
    assert task.done_at is not None
    assert task.required


def test_practice_and_no_show_ask_for_nothing_but_another_day(world: World) -> None:
    make.no_show(world, world.student)
    sealed_infusion(world, student=world.fellow_student, purpose="practice")
    actions.catch_up()
    assert not OpenTask.objects.filter(required=True).exists()
    assert permit(world).may
    assert permit(world).not_before is not None
    assert Permit.objects.get(student=world.fellow_student).not_before is None


def test_a_receipt_is_kept_once_and_only_by_the_student(world: World) -> None:
    leaf = sealed_infusion(world)
    first = actions.acknowledge(by=world.student, leaf=leaf, statement=" I see it otherwise. ")
    again = actions.acknowledge(by=world.student, leaf=leaf, statement="Another word")
    assert (first.pk, again.statement) == (again.pk, "I see it otherwise.")
    assert AuditEntry.objects.filter(act="record.acknowledged").count() == 1
    with pytest.raises(ReviewError) as refused:
        actions.acknowledge(by=world.fellow_student, leaf=leaf)
    assert refused.value.code == "not_yours"
    assert Acknowledgement.objects.count() == 1


def test_nobody_confirms_their_own_and_only_staff_confirms(world: World) -> None:
    sealed_infusion(world)
    actions.catch_up()
    task = OpenTask.objects.filter(required=True).first()
    assert task is not None
    for person, code in ((world.student, "own_task"), (world.evaluator, "may_not"), (world.outsider, "may_not")):
        with pytest.raises(ReviewError) as refused:
            actions.confirm(by=person, task=task, confirmed=True)
        assert refused.value.code == code


def test_a_confirmation_can_be_taken_back_and_a_confirmed_task_stays_done(world: World) -> None:
    sealed_infusion(world)
    actions.catch_up()
    confirm_all(world)
    task = OpenTask.objects.filter(required=True).first()
    assert task is not None
    with pytest.raises(ReviewError) as refused:
        actions.mark_done(by=world.student, task=task, done=False)
    assert refused.value.code == "confirmed"
    actions.confirm(by=world.instructor, task=task, confirmed=False)
    assert not permit(world).may
