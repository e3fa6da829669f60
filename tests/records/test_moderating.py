"""What stands between a finished attempt and its seal: for whom it waits, and what there is to decide."""

from __future__ import annotations

from checkoffs.people.permissions import Access
from checkoffs.records import moderating
from tests.records.make import in_moderation
from tests.world import World


def test_it_waits_for_instructors_of_the_cohort_who_scored_no_sheet(world: World) -> None:
    attempt = in_moderation(world)
    assert list(moderating.waiting_for(Access.of(world.instructor))) == [attempt]
    for person in (world.evaluator, world.second_evaluator, world.student, world.outsider):
        assert not moderating.waiting_for(Access.of(person)).exists()
    assert world.instructor.full_name in moderating.who_moderates(attempt)


def test_the_page_holds_both_sheets_and_what_differs(world: World) -> None:
    attempt = in_moderation(world)
    page = moderating.page_of(attempt, Access.of(world.instructor))
    assert len(page["sheets"]) == 2
    assert page["items"]
    assert all(item["title"] for item in page["items"])
    assert moderating.who_signs_next(attempt) == ""
