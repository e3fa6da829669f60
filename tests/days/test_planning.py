"""Planning: extra time from the enrolment, nobody in two places, all or nothing (ASVS 5.0, 2.3.4)."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest

from checkoffs.attempts.models import Attempt
from checkoffs.days import planning
from checkoffs.days.errors import DaysError
from checkoffs.days.models import Slot, Station
from checkoffs.ledger.models import AuditEntry
from checkoffs.people.actions import set_extra_time
from checkoffs.procedures.models import Procedure
from tests.attempts.make import open_attempt
from tests.days.make import fill, held, make_day, make_station, noon
from tests.world import World


def times(station: Station) -> list[tuple[str, int]]:
    """Start and length of a station's slots."""
    return [(slot.starts_at.strftime("%H:%M"), slot.minutes) for slot in station.slots.all()]


def test_extra_time_comes_from_the_enrolment(world: World) -> None:
    """The evaluator need not remember it."""
    set_extra_time(by=world.coordinator, membership=world.student.memberships.get(), factor=Decimal("1.5"))
    station = make_station(world, make_day(world))
    fill(world, station, world.student, world.fellow_student)
    assert times(station) == [("12:00", 30), ("12:40", 20)]


def test_a_student_is_in_one_place(world: World) -> None:
    """Also across two days of different cohorts; touching ends are fine; nothing is half saved."""
    one, two = make_day(world), make_day(world, cohort=world.other_cohort)
    first = make_station(world, one)
    second = make_station(world, two, name="Station 2")
    fill(world, first, world.student)
    with pytest.raises(DaysError, match="Marit Adeyemi is at Station 1 from"):
        fill(world, second, world.fellow_student, world.student, start=noon(two, -15))
    assert not second.slots.exists()
    fill(world, second, world.student, start=noon(two, 20))


def test_an_evaluator_is_in_one_place(world: World) -> None:
    """When slots are planned, when a station changes hands, and never as the student of their own station."""
    day = make_day(world)
    first = make_station(world, day, evaluator=world.evaluator)
    second = make_station(world, day, name="Station 2", evaluator=world.second_evaluator)
    fill(world, first, world.student)
    fill(world, second, world.fellow_student)
    with pytest.raises(DaysError, match="Jo Castellane") as caught:
        planning.change_station(
            by=world.coordinator,
            station=second,
            name="Station 2",
            procedure=second.procedure,
            evaluator=world.evaluator,
        )
    assert caught.value.field == "evaluator"
    third = make_station(world, day, name="Station 3", evaluator=world.evaluator)
    with pytest.raises(DaysError, match="Jo Castellane"):
        fill(world, third, world.student, start=noon(day, 10))
    fourth = make_station(world, day, name="Station 4", evaluator=world.student)
    with pytest.raises(DaysError, match="among the students"):
        fill(world, fourth, world.student, start=noon(day, 90))


def test_a_station_holds_one_student_at_a_time(world: World) -> None:
    """Also without an evaluator."""
    station = make_station(world, make_day(world))
    fill(world, station, world.student)
    with pytest.raises(DaysError, match="Planned twice"):
        fill(world, station, world.fellow_student, start=noon(station.day, 10))


@pytest.mark.parametrize(
    ("minutes", "expected"), [(10, ["12:10", "12:40"]), (-15, ["11:45", "12:15"]), (30, ["12:30", "13:00"])]
)
def test_a_late_lab_moves_the_rest(world: World, minutes: int, expected: list[str]) -> None:
    """Their lengths stay; also by exactly the distance of two slots, which meets the station's own old times."""
    station = make_station(world, make_day(world), evaluator=world.evaluator)
    fill(world, station, world.student, world.fellow_student)
    assert planning.move_slots(by=world.coordinator, station=station, minutes=minutes) == 2
    assert [start for start, _ in times(station)] == expected


def test_moving_obeys_other_stations(world: World) -> None:
    """The student's next station stands in the way; nothing moves."""
    day = make_day(world)
    first, second = make_station(world, day), make_station(world, day, name="Station 2")
    fill(world, first, world.student)
    fill(world, second, world.student, start=noon(day, 25))
    with pytest.raises(DaysError, match="Station 2"):
        planning.move_slots(by=world.coordinator, station=first, minutes=10)
    assert times(first) == [("12:00", 20)]


def test_slots_stay_on_their_day(world: World) -> None:
    """A list too long for the evening is refused."""
    day = make_day(world)
    with pytest.raises(DaysError, match="midnight"):
        fill(world, make_station(world, day), world.student, start=noon(day) + timedelta(hours=11), minutes=120)


def test_what_was_opened_stays(world: World) -> None:
    """Neither slot nor station nor the station's procedure goes under an attempt."""
    station = make_station(world, make_day(world))
    slot = fill(world, station, world.student)[0]
    Slot.objects.filter(pk=slot.pk).update(attempt=open_attempt(world))
    slot.refresh_from_db()
    other = Procedure.objects.create(program=world.program, title="Another", created_by=world.instructor)
    with pytest.raises(DaysError):
        planning.remove_slot(by=world.coordinator, slot=slot)
    with pytest.raises(DaysError):
        planning.remove_station(by=world.coordinator, station=station)
    with pytest.raises(DaysError):
        planning.change_station(
            by=world.coordinator, station=station, name=station.name, procedure=other, evaluator=None
        )
    assert planning.move_slots(by=world.coordinator, station=station, minutes=5) == 0
    assert Attempt.objects.count() == 1


def test_days_keep_their_date_once_people_are_planned(world: World) -> None:
    """The title may change."""
    day = make_day(world)
    station = make_station(world, day)
    fill(world, station, world.student)
    planning.change_day(by=world.coordinator, day=day, on=day.date, title="Hands, again")
    with pytest.raises(DaysError):
        planning.change_day(by=world.coordinator, day=day, on=day.date + timedelta(days=1), title="Hands")


def test_names_of_stations_are_single(world: World) -> None:
    """On one day, whatever the capitals."""
    day = make_day(world)
    make_station(world, day)
    with pytest.raises(DaysError):
        make_station(world, day, name="station 1")


def test_every_write_leaves_a_line(world: World) -> None:
    """In the program's trail."""
    station = make_station(world, make_day(world))
    slot = fill(world, station, world.student)[0]
    planning.remove_slot(by=world.coordinator, slot=slot)
    planning.remove_station(by=world.coordinator, station=station)
    assert list(AuditEntry.objects.filter(program=world.program).values_list("act", flat=True)) == [
        "day.planned", "station.added", "station.filled", "slot.removed", "station.removed"
    ]  # fmt: skip
    assert held(world.student)[0].person == world.student
