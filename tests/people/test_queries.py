"""Who sees whom, whose account may be managed, and lists whose queries do not grow."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from checkoffs.people import actions
from checkoffs.people.models import Membership, Role
from checkoffs.people.permissions import Access
from checkoffs.people.queries import may_manage_account, people_seen
from tests.world import World

STARTS = date(2026, 1, 5)


def add(world: World, n: int) -> None:
    """Some more students."""
    for i in range(n):
        actions.add_person(by=world.coordinator, full_name=f"Quill {i}", program=world.program, role="student",
                           cohort=world.cohort, starts=STARTS)  # fmt: skip


def test_programs_do_not_see_each_other(world: World) -> None:
    """Everyone of the program and nobody else."""
    seen = set(people_seen(Access.of(world.administrator)))
    assert seen == {person for kind, person in world.people.items() if kind != "outsider"}


def test_a_coordinator_of_one_cohort_sees_that_cohort(world: World) -> None:
    """Neither the other cohort nor the program's own staff."""
    Membership.objects.filter(person=world.coordinator).update(cohort=world.cohort)
    seen = {person.username for person in people_seen(Access.of(world.coordinator))}
    assert seen == {
        "coordinator", "instructor", "second_instructor", "evaluator", "second_evaluator", "student", "fellow_student"
    }  # fmt: skip


def test_whose_account_may_be_managed(world: World) -> None:
    """A link opens all of a person's rights, so all of them must lie within the asker's."""
    administrator, coordinator = Access.of(world.administrator), Access.of(world.coordinator)
    assert may_manage_account(administrator, world.evaluator)
    assert may_manage_account(coordinator, world.student)
    assert not may_manage_account(coordinator, world.evaluator)
    assert not may_manage_account(coordinator, world.administrator)
    Membership.objects.create(
        person=world.student, program=world.foreign_program, role=Role.INSTRUCTOR, starts=STARTS
    )
    assert not may_manage_account(administrator, world.student)
    assert not may_manage_account(coordinator, world.student)


def test_a_role_that_begins_later_protects_too(world: World) -> None:
    """Otherwise a link could be made today for the rights of tomorrow."""
    Membership.objects.create(
        person=world.student, program=world.program, role=Role.ADMINISTRATOR, starts=date(2999, 1, 1)
    )
    assert not may_manage_account(Access.of(world.coordinator), world.student)


@pytest.mark.parametrize("address", ["/people/", "/people/cohorts/", "/people/audit/", "/people/people.csv"])
def test_lists_ask_no_more_for_three_rows(world: World, signed_in: Any, address: str) -> None:
    """Constant queries with one row more and with three more."""
    client = signed_in("administrator")
    counts = []
    for n in (1, 3):
        add(world, n)
        for i in range(n):
            actions.add_cohort(by=world.administrator, program=world.program, name=f"C{n}{i}", starts=STARTS)
        with CaptureQueriesContext(connection) as caught:
            assert client.get(address).status_code == 200
        counts.append(len(caught))
    assert counts[0] == counts[1]


def test_person_page_asks_no_more_for_more_roles(world: World, signed_in: Any) -> None:
    """The page of somebody with one role and with four."""
    client, counts = signed_in("administrator"), []
    for n in range(2):
        with CaptureQueriesContext(connection) as caught:
            assert client.get(f"/people/{world.student.opaque}/").status_code == 200
        counts.append(len(caught))
        if n == 0:
            for year in (2027, 2028, 2029):
                Membership.objects.create(person=world.student, program=world.program, cohort=world.cohort,
                                          role="student", starts=date(year, 1, 5), ends=date(year, 6, 5))  # fmt: skip
    assert counts[0] == counts[1]
