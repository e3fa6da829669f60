"""Where a student stands in a procedure: the newest counting attempt that is not void decides."""

from __future__ import annotations

from checkoffs.attempts.models import Attempt
from checkoffs.people.permissions import Access
from checkoffs.records.actions import void
from checkoffs.review.actions import catch_up
from checkoffs.review.queries import my_procedures
from checkoffs.review.standing import Standing
from tests.attempts.make import open_attempt, small_version
from tests.records.make import in_moderation, version_of
from tests.reports import make
from tests.world import World


def line(world: World) -> Standing:
    """The student's line of the infusion."""
    lines = my_procedures(Access.of(world.student))
    return next(one for one in lines if one.procedure == version_of(world).procedure)


def test_open_until_something_counts(world: World) -> None:
    version_of(world)
    assert (line(world).state, line(world).attempts) == ("open", [])
    make.passed(world, purpose="practice")
    assert line(world).state == "open"
    assert len(line(world).attempts) == 1


def test_to_do_again_with_its_tasks_then_settled(world: World) -> None:
    make.failed(world)
    catch_up()
    again = line(world)
    assert (again.state, again.word, len(again.required)) == ("again", "to do again", 2)
    assert again.permit is not None
    second = make.passed(world, number=2)
    catch_up()
    assert (line(world).state, line(world).last, line(world).required) == ("settled", second.attempt, [])
    void(by=world.coordinator, leaf=second, reason="Wrong student.")
    assert line(world).state == "again"


def test_being_scored_and_being_decided(world: World) -> None:
    open_attempt(world, version=version_of(world))
    assert line(world).state == "running"
    Attempt.objects.all().update(state="signed")
    assert line(world).state == "deciding"


def test_in_moderation_is_being_decided(world: World) -> None:
    in_moderation(world)
    assert line(world).state == "deciding"


def test_others_attempts_stay_out(world: World) -> None:
    make.failed(world, student=world.fellow_student)
    small_version(world)
    assert line(world).state == "open"
