"""Moderation: claimed once, by an instructor who scored nothing of it, with reasons; its settlements decide."""

from __future__ import annotations

from typing import Any

import pytest

from checkoffs.attempts import actions
from checkoffs.attempts.errors import AttemptError
from checkoffs.attempts.models import Attempt, Event, Sheet, State
from checkoffs.attempts.queries import attempts_needing_moderation, decision_of
from checkoffs.ledger.queries import entries_about
from checkoffs.people.permissions import Access
from tests.attempts.make import ALL_DONE, Tablet, open_attempt
from tests.world import World

DONE = {"about": {"type": "step", "id": "a2"}, "verdict": "performed", "reason": "seen on the second sheet"}


@pytest.fixture
def waiting(world: World) -> Attempt:
    """An attempt whose critical step nobody saw: performed or not changes the outcome."""
    attempt = open_attempt(world)
    sheet = attempt.sheets.get()
    tablet = Tablet(sheet)
    tablet.send(tablet.run(ALL_DONE | {"a2": "not_observed"}))
    actions.sign_sheet(by=world.evaluator, sheet=sheet, shown="refused")
    attempt.refresh_from_db()
    return attempt


def code(call: Any, **kwargs: Any) -> str:
    with pytest.raises(AttemptError) as caught:
        call(**kwargs)
    return caught.value.code


def test_a_step_nobody_saw_waits_for_an_instructor_of_the_cohort(world: World, waiting: Attempt) -> None:
    assert waiting.state == State.MODERATION
    for kind in ("instructor", "second_instructor", "coordinator"):
        assert list(attempts_needing_moderation(Access.of(world.people[kind]))) == [waiting], kind
    for kind in ("evaluator", "second_evaluator", "outsider", "student", "administrator"):
        assert not attempts_needing_moderation(Access.of(world.people[kind])).exists(), kind


def test_settling_decides_signs_and_keeps_the_reason(world: World, waiting: Attempt) -> None:
    sheet = actions.open_moderation(by=world.instructor, attempt=waiting)
    assert actions.open_moderation(by=world.instructor, attempt=waiting) == sheet
    decision = actions.settle_by_moderator(by=world.instructor, attempt=waiting, settlements=[DONE], note="watched")
    assert decision["outcome"] == "satisfactory"
    waiting.refresh_from_db()
    sheet.refresh_from_db()
    assert waiting.state == State.SIGNED
    assert sheet.signed_at
    assert sheet.stored == 2
    events = Event.objects.filter(sheet=sheet).order_by("seq")
    assert [(e.kind, e.source, e.by) for e in events] == [
        ("settled", "server", world.instructor.opaque),
        ("noted", "server", world.instructor.opaque),
    ]
    assert [entry.act for entry in entries_about(sheet)] == ["moderation.opened", "moderation.settled"]
    assert decision_of(waiting) == decision


def test_a_note_alone_settles_nothing(world: World, waiting: Attempt) -> None:
    actions.open_moderation(by=world.instructor, attempt=waiting)
    assert (
        actions.settle_by_moderator(by=world.instructor, attempt=waiting, note="asked her")["outcome"] == "moderation"
    )
    waiting.refresh_from_db()
    assert waiting.state == State.MODERATION
    assert code(actions.settle_by_moderator, by=world.instructor, attempt=waiting) == "nothing_to_settle"


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"about": {"type": "step", "id": "zz"}}, "settlements.0.payload.about.id"),
        ({"about": {"type": ["step"], "id": "a2"}}, "settlements.0.payload.about"),
        ({"verdict": "kept"}, "settlements.0.payload.verdict"),
        ({"reason": " "}, "settlements.0.payload.reason"),
    ],
)
def test_a_settlement_that_cannot_be_read_is_named(
    world: World, waiting: Attempt, changes: dict[str, Any], field: str
) -> None:
    actions.open_moderation(by=world.instructor, attempt=waiting)
    with pytest.raises(AttemptError) as caught:
        actions.settle_by_moderator(by=world.instructor, attempt=waiting, settlements=[DONE | changes])
    assert caught.value.field == field
    assert not Event.objects.filter(kind="settled").exists()


def test_who_may_moderate(world: World, waiting: Attempt) -> None:
    claim = actions.open_moderation
    assert code(claim, by=world.evaluator, attempt=waiting) == "may_not_moderate"
    assert code(claim, by=world.outsider, attempt=waiting) == "may_not_moderate"
    assert code(claim, by=world.instructor, attempt=waiting, moderator=world.second_instructor) == "may_not_assign"
    assert code(claim, by=world.coordinator, attempt=waiting, moderator=world.evaluator) == "scored_it"
    assert code(claim, by=world.coordinator, attempt=waiting, moderator=world.student) == "may_not_moderate"
    assert code(claim, by=world.coordinator, attempt=waiting, moderator=world.outsider) == "may_not_moderate"
    assert claim(by=world.coordinator, attempt=waiting, moderator=world.second_instructor)
    assert code(claim, by=world.instructor, attempt=waiting) == "claimed"
    assert code(actions.settle_by_moderator, by=world.instructor, attempt=waiting, settlements=[DONE]) == "not_yours"


def test_an_instructor_who_scored_it_does_not_moderate_it(world: World) -> None:
    attempt = open_attempt(world, evaluator=world.instructor, state=State.MODERATION)
    assert code(actions.open_moderation, by=world.instructor, attempt=attempt) == "scored_it"
    assert not attempts_needing_moderation(Access.of(world.instructor)).exists()
    settled = open_attempt(world, student=world.fellow_student)
    assert code(actions.open_moderation, by=world.instructor, attempt=settled) == "not_waiting"


def test_differing_sheets_are_settled_step_by_step(world: World) -> None:
    attempt = open_attempt(world)
    second = actions.open_second_sheet(by=world.second_evaluator, attempt=attempt)
    for sheet, mark in ((attempt.sheets.get(kind="primary"), "performed"), (second, "not_performed")):
        tablet = Tablet(sheet)
        tablet.send(tablet.run(ALL_DONE | {"a2": mark}))
        actions.sign_sheet(by=sheet.evaluator, sheet=Sheet.objects.get(pk=sheet.pk), shown="no_statement")
    actions.open_moderation(by=world.instructor, attempt=attempt)
    verdict = DONE | {"verdict": "not_performed"}
    decision = actions.settle_by_moderator(by=world.instructor, attempt=attempt, settlements=[verdict])
    assert decision["outcome"] == "unsatisfactory"
