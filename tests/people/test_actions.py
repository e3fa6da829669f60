"""Writes of people: what is refused, what is kept, and that each leaves its line in the trail."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from checkoffs.ledger.models import AuditEntry
from checkoffs.people import actions
from checkoffs.people.actions import PeopleError
from checkoffs.people.models import Membership, User
from checkoffs.people.permissions import Access, Act
from tests.world import World

STARTS = date(2026, 1, 5)


def acts() -> list[str]:
    """The trail in order."""
    return list(AuditEntry.objects.values_list("act", flat=True))


def test_add_person(world: World) -> None:
    """No password; a user name of the address; two lines in the trail, without names or addresses in them."""
    person = actions.add_person(
        by=world.coordinator, full_name="Inês Rosado", email="Ines.R@x.example", program=world.program,
        role="student", cohort=world.cohort, starts=STARTS,
    )  # fmt: skip
    assert (person.username, person.email, person.has_usable_password()) == ("ines.r", "ines.r@x.example", False)
    assert acts() == ["person.added", "membership.added"]
    assert "Rosado" not in str(list(AuditEntry.objects.values_list("detail", flat=True)))


def test_user_names_are_never_shared(world: World) -> None:
    """Two people of one name get two."""
    names = {
        actions.add_person(
            by=world.coordinator, full_name="Inês Rosado", program=world.program, role="student",
            cohort=world.cohort, starts=STARTS,
        ).username
        for _ in range(3)
    }  # fmt: skip
    assert names == {"ines.rosado", "ines.rosado2", "ines.rosado3"}


def test_an_address_belongs_to_one_person(world: World) -> None:
    """Whatever its capitals; and nothing is half saved."""
    before = User.objects.count()
    with pytest.raises(PeopleError) as caught:
        actions.add_person(
            by=world.coordinator, full_name="X Y", email="STUDENT@harrowmere.example", program=world.program,
            role="student", cohort=world.cohort, starts=STARTS,
        )  # fmt: skip
    assert caught.value.field == "email"
    assert User.objects.count() == before
    assert acts() == []


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"role": "student", "cohort": None}, "cohort"),
        ({"role": "student", "cohort": "foreign"}, "cohort"),
        ({"role": "student", "cohort": "same"}, "role"),
        ({"role": "evaluator", "cohort": None, "ends": date(2025, 1, 1)}, "ends"),
    ],
)
def test_memberships_that_contradict(world: World, fields: dict[str, object], field: str) -> None:
    """No cohort, another program's cohort, held already, dates the wrong way round."""
    places = {"foreign": world.foreign_cohort, "same": world.cohort, None: None}
    fields["cohort"] = places[fields["cohort"]]  # type: ignore[index]
    with pytest.raises(PeopleError) as caught:
        actions.add_membership(by=world.administrator, person=world.student, program=world.program,
                               starts=STARTS, **fields)  # type: ignore[arg-type]  # fmt: skip
    assert caught.value.field == field


def test_ending_a_role_ends_its_rights(world: World) -> None:
    """The day after the last day nothing is granted; the row stays."""
    held = world.evaluator.memberships.get()
    actions.end_membership(by=world.administrator, membership=held, ends=date(2026, 3, 31))
    assert Access.of(world.evaluator, on=date(2026, 3, 31)).may(Act.SCORE)
    assert not Access.of(world.evaluator, on=date(2026, 4, 1)).may(Act.SCORE)
    assert Membership.objects.filter(pk=held.pk).exists()


def test_the_last_administrator_stays(world: World) -> None:
    """A program nobody administers could never be opened again."""
    held = world.administrator.memberships.get()
    with pytest.raises(PeopleError):
        actions.end_membership(by=world.administrator, membership=held, ends=date(2026, 3, 31))
    actions.add_membership(by=world.administrator, person=world.coordinator, program=world.program,
                           role="administrator", cohort=None, starts=STARTS)  # fmt: skip
    actions.end_membership(by=world.administrator, membership=held, ends=date(2026, 3, 31))
    with pytest.raises(PeopleError):
        actions.set_active(by=world.administrator, person=world.administrator, program=world.program, active=False)


@pytest.mark.parametrize("factor", ["0.5", "4.01"])
def test_extra_time_has_bounds(world: World, factor: str) -> None:
    """Between 1 and 4, on an enrolment only."""
    with pytest.raises(PeopleError):
        actions.set_extra_time(
            by=world.coordinator, membership=world.student.memberships.get(), factor=Decimal(factor)
        )
    with pytest.raises(PeopleError):
        actions.set_extra_time(
            by=world.coordinator, membership=world.evaluator.memberships.get(), factor=Decimal("1.5")
        )


def test_cohort_names_are_single(world: World) -> None:
    """In one program, whatever the capitals; another program may use the name."""
    with pytest.raises(PeopleError):
        actions.add_cohort(by=world.administrator, program=world.program, name="26-a", starts=STARTS)
    actions.add_cohort(by=world.administrator, program=world.foreign_program, name="26-A", starts=STARTS)
