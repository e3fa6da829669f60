"""The cohort's table: each state a cell can have, and that it asks the database no more for more people."""

from __future__ import annotations

from django.db import connection
from django.test.utils import CaptureQueriesContext

from checkoffs.records.actions import amend, void
from checkoffs.reports import filling
from checkoffs.reports.cells import Cell
from checkoffs.reports.matrix import matrix
from tests.attempts.make import open_attempt, small_version
from tests.records.make import in_moderation, version_of
from tests.reports import make
from tests.world import World


def cell(world: World, name: str = "Adeyemi", **options: object) -> Cell:
    """The cell of a student at the infusion."""
    shown = matrix(world.cohort, **options)  # type: ignore[arg-type]
    place = [one.pk for one in shown.procedures].index(version_of(world).procedure_id)
    return next(row.cells[place] for row in shown.rows if row.last_first.startswith(name))


def test_open_then_booked(world: World) -> None:
    version_of(world)
    assert cell(world).code == "open"
    slot = make.booked(world, world.student, version_of(world).procedure)
    assert (cell(world).code, cell(world).at) == ("booked", slot.starts_at)


def test_failed_is_a_retake_with_its_reason_and_its_time(world: World) -> None:
    make.failed(world)
    filling.catch_up()
    found = cell(world)
    assert (found.code, found.word, list(found.why), found.seen_by) == (
        "retake", "retake owed", [14, 24], ["Jo Castellane"],
    )  # fmt: skip
    slot = make.booked(world, world.student, version_of(world).procedure)
    assert (cell(world).word, cell(world).at) == ("retake", slot.starts_at)


def test_the_last_standing_attempt_decides(world: World) -> None:
    make.failed(world)
    second = make.passed(world, number=2)
    assert cell(world).code == "seen"
    assert cell(world).at == second.attempt.opened_at
    void(by=world.coordinator, leaf=second, reason="Wrong student.")
    assert cell(world).code == "retake"


def test_an_amended_outcome_is_what_counts(world: World) -> None:
    leaf = make.failed(world)
    amend(by=world.instructor, leaf=leaf, reason="Heard wrong.", changes={"outcome": "satisfactory"})
    assert cell(world).code == "seen"


def test_moderation_and_running(world: World) -> None:
    in_moderation(world)
    assert cell(world).code == "moderate"
    open_attempt(world, student=world.fellow_student, version=version_of(world))
    assert cell(world, "Aldous").code == "running"


def test_practice_does_not_count(world: World) -> None:
    make.passed(world, purpose="practice")
    assert cell(world).code == "open"


def test_filters_and_counts(world: World) -> None:
    make.cohort(world, 3)
    shown = matrix(world.cohort)
    assert (shown.count("seen"), shown.count("retake"), shown.unbooked, shown.total) == (2, 2, 1, len(shown.rows))
    assert [row.last_first for row in matrix(world.cohort, text="dlam").rows] == ["Dlamini, Sipho"]
    assert len(matrix(world.cohort, state="seen").rows) == 2
    assert [row.last_first for row in shown.rows] == sorted(row.last_first for row in shown.rows)


def test_other_cohorts_stay_out(world: World) -> None:
    make.cohort(world, 1)
    assert all(row.student != world.other_cohort_student for row in matrix(world.cohort).rows)
    assert matrix(world.foreign_cohort).procedures == ()


def test_queries_do_not_grow(world: World) -> None:
    def asked() -> int:
        with CaptureQueriesContext(connection) as queries:
            matrix(world.cohort)
        return len(queries)

    small_version(world)
    make.failed(world)
    filling.catch_up()
    one = asked()
    make.cohort(world, 3)
    make.no_show(world, world.fellow_student)
    filling.catch_up()
    assert asked() == one
