"""The page's context: nothing before the seal, a lane from ten attempts on, and after a disposal only the frame."""

from __future__ import annotations

from checkoffs.review.page import page_of
from tests.records.make import in_moderation
from tests.reports import make
from tests.world import World


def test_before_the_seal_there_is_no_mark_and_no_outcome(world: World) -> None:
    context = page_of(in_moderation(world), world.student)
    assert set(context) == {"attempt", "own", "chain", "running"}


def test_the_lane_begins_with_ten_attempts(world: World) -> None:
    """All took the same time, so the middle half is a point and nobody is behind it."""
    leaf = make.failed(world)
    people = [make.enrol(world, place) for place in range(9)]
    for person in people[:-1]:
        make.passed(world, student=person)
    assert page_of(leaf.attempt, world.student)["ribbon"]["lane"] is None
    make.passed(world, student=people[-1])
    ribbon = page_of(leaf.attempt, world.student)["ribbon"]
    assert ribbon["lane"].attempts == 10
    assert ribbon["words"].startswith("You stayed")


def test_practice_has_no_lane_and_is_a_rehearsal(world: World) -> None:
    leaf = make.failed(world, purpose="practice")
    ribbon = page_of(leaf.attempt, world.student)["ribbon"]
    assert (ribbon["lane"], ribbon["rehearsal"]) == (None, True)


def test_a_no_show_has_no_ribbon(world: World) -> None:
    leaf = make.no_show(world, world.student)
    assert page_of(leaf.attempt, world.student)["ribbon"] is None
