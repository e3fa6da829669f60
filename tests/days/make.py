"""A planned day for the tests of this room."""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from django.utils import timezone

from checkoffs.days import planning
from checkoffs.days.models import Day, Slot, Station
from checkoffs.people.models import Cohort, Membership, User
from tests.attempts.make import small_version
from tests.world import World

LONDON = ZoneInfo("Europe/London")


def make_day(world: World, *, cohort: Cohort | None = None) -> Day:
    """A day today, in cohort A."""
    on = timezone.localdate(timezone=LONDON)
    return planning.plan_day(by=world.coordinator, cohort=cohort or world.cohort, on=on, title="Hands")


def make_station(world: World, day: Day, *, name: str = "Station 1", evaluator: User | None = None) -> Station:
    """A station with the small procedure."""
    procedure = small_version(world).procedure
    return planning.add_station(by=world.coordinator, day=day, name=name, procedure=procedure, evaluator=evaluator)


def held(*people: User) -> list[Membership]:
    """The enrolments of students."""
    return [person.memberships.get() for person in people]


def noon(day: Day, minutes: int = 0) -> datetime:
    """Twelve o'clock UTC on the day, or some minutes later: far from any midnight."""
    return datetime.combine(day.date, datetime.min.time(), tzinfo=timezone.get_fixed_timezone(0)) + timedelta(
        hours=12, minutes=minutes
    )


def fill(
    world: World, station: Station, *people: User, start: datetime | None = None, minutes: int = 20
) -> list[Slot]:
    """Slots for students, from noon."""
    return planning.fill_station(
        by=world.coordinator,
        station=station,
        students=held(*people),
        start=start or noon(station.day),
        minutes=minutes,
        changeover=10,
        purpose="summative",
    )


def due_slot(world: World, student: User | None = None, *, minutes_ago: int = 10) -> Slot:
    """A slot at the evaluator's station that began some minutes ago."""
    station = make_station(world, make_day(world), evaluator=world.evaluator)
    midnight = timezone.localtime(timezone=LONDON).replace(hour=0, minute=0, second=0, microsecond=0)
    begun = max(timezone.now() - timedelta(minutes=minutes_ago), midnight)  # today, also just after midnight
    return Slot.objects.create(station=station, student=student or world.student, starts_at=begun)
