"""A small invented cohort with sealed attempts of all kinds, made through the real actions."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django.utils import timezone

from checkoffs.attempts.actions import close_no_show
from checkoffs.attempts.models import Attempt
from checkoffs.days.models import Day, Slot, Station
from checkoffs.people.models import Membership, Role, User
from checkoffs.procedures.models import Procedure
from checkoffs.records.actions import seal
from checkoffs.records.models import RecordLeaf
from tests.attempts.make import small_version
from tests.records import infusion
from tests.records.make import sealed_infusion, version_of
from tests.world import World

PASSED: dict[str, Any] = {"marks": {24: (1028, "performed")}, "rate": "13.1"}
NAMES = (
    "Rumi Bhattacharyya", "Jess Calloway", "Sipho Dlamini", "Tove Eriksdotter", "Hal Fennimore", "Anest Gwilym",
    "Corin Haddow", "Luz Ibarra", "Rasa Jankauskas", "Imre Kessel",
)  # fmt: skip


def enrol(world: World, place: int) -> User:
    """One more invented student of the cohort."""
    person = User.objects.create_user(
        username=f"student{place}", full_name=NAMES[place % len(NAMES)], number=f"H-{20500 + place}"
    )
    Membership.objects.create(
        person=person, program=world.program, cohort=world.cohort, role=Role.STUDENT, starts=world.cohort.starts
    )
    return person


def passed(world: World, **fields: Any) -> RecordLeaf:
    """A sealed satisfactory attempt at the infusion."""
    return sealed_infusion(world, infusion.events(**PASSED), **fields)


def failed(world: World, **fields: Any) -> RecordLeaf:
    """A sealed unsatisfactory attempt: hub not scrubbed, rate stated wrong."""
    return sealed_infusion(world, **fields)


def no_show(world: World, student: User) -> RecordLeaf:
    """A sealed no-show at the small procedure."""
    attempt: Attempt = close_no_show(
        by=world.evaluator, student=student, cohort=world.cohort, version=small_version(world), reason="Did not come."
    )
    return seal(by=world.evaluator, attempt=attempt)


def booked(world: World, student: User, procedure: Procedure) -> Slot:
    """A slot tomorrow."""
    at = timezone.now() + timedelta(days=1)
    day = Day.objects.create(cohort=world.cohort, date=at.date(), title="Next skills day")
    station = Station.objects.create(day=day, name="Station 2", procedure=procedure)
    return Slot.objects.create(station=station, student=student, starts_at=at)


def cohort(world: World, size: int = 3) -> list[User]:
    """``size`` more students with an attempt each, every third one failed; ``student`` failed and is booked again."""
    people = [enrol(world, place) for place in range(size)]
    for place, person in enumerate(people):
        (failed if place % 3 == 0 else passed)(world, student=person)
    failed(world)
    booked(world, world.student, version_of(world).procedure)
    return people
