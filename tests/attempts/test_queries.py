"""Reading attempts: decisions from stored events, what waits for whom, and queries that do not grow."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from checkoffs.attempts import queries
from checkoffs.attempts.models import Attempt, Purpose, Sheet, SheetKind
from checkoffs.people.permissions import Access, Act
from checkoffs.procedures.models import ProcedureVersion
from tests.attempts.make import ALL_DONE, NOW, SMALL, Tablet, open_attempt, small_version, stated_version
from tests.cases.make import pump_template
from tests.world import World


def scored(attempt: Attempt, marks: dict[str, str]) -> Attempt:
    tablet = Tablet(attempt.sheets.get(kind="primary"))
    tablet.send(tablet.run(marks))
    return attempt


def count(call: Any) -> int:
    with CaptureQueriesContext(connection) as seen:
        call()
    return len(seen)


def test_a_decision_follows_the_rule(world: World) -> None:
    attempt = scored(open_attempt(world), ALL_DONE | {"a2": "said"})
    decision = queries.decision_of(attempt)
    assert decision["outcome"] == "unsatisfactory"
    assert [reason["step"] for reason in decision["reasons"] if reason["decides"]] == ["a2"]


def test_extra_time_reaches_the_decision(world: World) -> None:
    attempt = open_attempt(world, time_factor=Decimal("1.50"))
    tablet = Tablet(attempt.sheets.get())
    tablet.send(tablet.run(ALL_DONE, seconds=400))
    decision = queries.decision_of(Attempt.objects.get(pk=attempt.pk))
    assert decision["time"] == {"counted_ms": 400_000, "limit_ms": 450_000}
    assert decision["outcome"] == "satisfactory"


def test_a_decision_is_never_stale(world: World) -> None:
    attempt = open_attempt(world)
    tablet = Tablet(attempt.sheets.get())
    tablet.send(tablet.run(ALL_DONE))
    assert queries.decision_of(attempt)["outcome"] == "satisfactory"
    tablet.send([tablet.event("marked", {"step": "a2", "mark": "not_performed"}, 59_000)])
    assert queries.decision_of(attempt)["outcome"] == "unsatisfactory"


def test_decisions_of_many_cost_no_more_queries(world: World) -> None:
    people = [world.student, world.fellow_student, world.evaluator]
    made = [
        scored(open_attempt(world, student=person, evaluator=world.second_evaluator), ALL_DONE) for person in people
    ]
    one, three = Attempt.objects.filter(pk=made[0].pk), Attempt.objects.all()
    assert count(lambda: queries.decisions_of(one)) == count(lambda: queries.decisions_of(three))
    assert {d["outcome"] for d in queries.decisions_of(three).values()} == {"satisfactory"}


def test_a_preview_knows_one_sheet_only(world: World) -> None:
    attempt = scored(open_attempt(world), ALL_DONE)
    second = Sheet.objects.create(
        attempt=attempt, kind=SheetKind.SECOND, evaluator=world.second_evaluator, opened_at=NOW, signed_at=NOW
    )
    assert queries.preview_of(attempt.sheets.get(kind="primary"))["outcome"] == "satisfactory"
    assert queries.preview_of(second)["outcome"] != "satisfactory"


def test_only_counting_attempts_make_the_next_one_a_retake(world: World) -> None:
    content = SMALL | {"title": "Capped", "rule": SMALL["rule"] | {"score": CAPPED}}
    version = small_version(world)
    capped = ProcedureVersion.objects.create(
        procedure=version.procedure, number=2, content=content, digest="2" * 64,
        published_by=world.instructor, published_at=NOW,
    )  # fmt: skip
    numbers = [Purpose.PRACTICE, Purpose.SUMMATIVE, Purpose.SUMMATIVE, Purpose.SUMMATIVE]
    made = [
        open_attempt(world, version=capped, number=n, purpose=purpose, outcome="void" if n == 2 else "")
        for n, purpose in enumerate(numbers, 1)
    ]
    assert [queries.scoring_inputs(attempt)["attempt_no"] for attempt in made] == [1, 1, 1, 2]


CAPPED = {"kind": "percent", "cut": "70", "per_section": {}, "retake_cap": "77"}


def test_unfinished_sheets_are_ones_own_and_unsigned(world: World) -> None:
    mine = open_attempt(world).sheets.get()
    open_attempt(world, student=world.fellow_student, evaluator=world.second_evaluator)
    assert list(queries.unfinished_sheets_of(world.evaluator)) == [mine]
    Sheet.objects.filter(pk=mine.pk).update(signed_at=NOW)
    assert not queries.unfinished_sheets_of(world.evaluator).exists()


@pytest.mark.parametrize("listing", ["unfinished", "of_student", "to_score"])
def test_lists_cost_the_same_for_one_row_and_for_three(world: World, listing: str) -> None:
    access = Access.of(world.evaluator)
    calls = {
        "unfinished": lambda: [
            (str(s.attempt.student), s.attempt.version.procedure.title, s.attempt.cohort.name)
            for s in queries.unfinished_sheets_of(world.evaluator)
        ],
        "of_student": lambda: [
            (a.version.procedure.title, [s.evaluator.called for s in a.sheets.all()])
            for a in queries.attempts_of_student(world.student)
        ],
        "to_score": lambda: [(str(a.student), a.cohort.program.name) for a in queries.attempts_to_score(access)],
    }
    open_attempt(world)
    one = count(calls[listing])
    open_attempt(world, number=2)
    open_attempt(world, number=3)
    assert len(calls[listing]()) == 3
    assert count(calls[listing]) == one


def test_what_may_be_scored_further_is_in_ones_cohorts_and_not_ones_own(world: World) -> None:
    counting = open_attempt(world)
    practice = open_attempt(world, student=world.other_cohort_student, number=2, purpose=Purpose.PRACTICE)
    assert {a.pk for a in queries.attempts_to_score(Access.of(world.second_evaluator))} == {counting.pk, practice.pk}
    assert {a.pk for a in queries.attempts_to_score(Access.of(world.fellow_student))} == {practice.pk}
    assert not queries.attempts_to_score(Access.of(world.outsider)).exists()
    own = queries.attempts_to_score(Access.of(world.student))
    assert counting not in own


def test_the_newest_version_and_the_cases_that_fit_it(world: World) -> None:
    version = stated_version(world)
    newer = ProcedureVersion.objects.create(
        procedure=version.procedure, number=2, content=version.content, digest="3" * 64,
        published_by=world.instructor, published_at=NOW,
    )  # fmt: skip
    access = Access.of(world.evaluator)
    assert list(queries.newest_versions(access.programs(Act.SCORE))) == [newer]
    fits = pump_template(world, version.procedure)
    pump_template(world, version.procedure, checks=[])
    assert queries.suitable_templates(newer) == [fits]


def test_factors_are_written_short() -> None:
    assert [queries.factor_text(Decimal(text)) for text in ("1", "1.00", "1.50", "1.25", "2")] == [
        "1", "1", "1.5", "1.25", "2",
    ]  # fmt: skip
