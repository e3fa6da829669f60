"""Writes that plan a day: days, stations, slots. Nobody is planned in two places."""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from checkoffs.days.errors import DaysError
from checkoffs.days.models import Day, Slot, Station
from checkoffs.days.queries import busy_people
from checkoffs.days.timetable import Busy, clashes, lay_out
from checkoffs.ledger.actions import action, audit
from checkoffs.people.models import Cohort, Membership, Program, User
from checkoffs.procedures.models import Procedure


@action
def plan_day(*, by: User, cohort: Cohort, on: date, title: str) -> Day:
    """A new day for a cohort."""
    day = Day.objects.create(cohort=cohort, date=on, title=title.strip())
    audit(by=by, act="day.planned", subject=day, program=cohort.program, detail={"date": on.isoformat()})
    return day


@action
def change_day(*, by: User, day: Day, on: date, title: str) -> Day:
    """Change title or date; the date only while nobody is planned. Raises DaysError."""
    if on != day.date and Slot.objects.filter(station__day=day).exists():
        raise DaysError(
            "Students are planned on this day. Plan a second day, or take the slots away first.", field="on"
        )
    day.date, day.title = on, title.strip()
    day.save(update_fields=["date", "title"])
    audit(by=by, act="day.changed", subject=day, program=day.cohort.program, detail={"date": on.isoformat()})
    return day


@action
def add_station(*, by: User, day: Day, name: str, procedure: Procedure, evaluator: User | None) -> Station:
    """A station of a day: where one evaluator sees one procedure. Raises DaysError."""
    _refuse_name(day, name, None)
    station = Station.objects.create(day=day, name=name.strip(), procedure=procedure, evaluator=evaluator)
    audit(by=by, act="station.added", subject=station, program=day.cohort.program, detail=_station_detail(station))
    return station


@action
def change_station(*, by: User, station: Station, name: str, procedure: Procedure, evaluator: User | None) -> Station:
    """Change a station; its procedure only while no attempt was opened there. Raises DaysError."""
    _lock(station.day.cohort.program)
    _refuse_name(station.day, name, station)
    if procedure != station.procedure and station.slots.exclude(attempt=None).exists():
        raise DaysError("Attempts were opened here already; add another station instead.", field="procedure")
    if evaluator is not None and evaluator.pk != station.evaluator_id:
        planned = [
            Busy(evaluator.pk, station.name, slot.starts_at, slot.starts_at + timedelta(minutes=slot.minutes))
            for slot in station.slots.filter(attempt=None)
        ]
        _refuse_clashes(station.day, planned, without=set(), field="evaluator")
    station.name, station.procedure, station.evaluator = name.strip(), procedure, evaluator
    station.save()
    program = station.day.cohort.program
    audit(by=by, act="station.changed", subject=station, program=program, detail=_station_detail(station))
    return station


@action
def remove_station(*, by: User, station: Station) -> None:
    """Take a station and its unused slots away. Raises DaysError once an attempt was opened there."""
    if station.slots.exclude(attempt=None).exists():
        raise DaysError("Attempts were opened at this station; it stays.")
    program = station.day.cohort.program
    audit(by=by, act="station.removed", subject=station, program=program, detail=_station_detail(station))
    station.delete()


@action
def fill_station(
    *,
    by: User,
    station: Station,
    students: Iterable[Membership],
    start: datetime,
    minutes: int,
    changeover: int,
    purpose: str,
) -> list[Slot]:
    """Slots one after another from ``start``, each as long as the student's extra time makes it; all or none.

    ``students`` are enrolments of the day's cohort, in the order wanted. Raises DaysError where somebody would be in
    two places, or the slots run past midnight.
    """
    _lock(station.day.cohort.program)
    chosen = list(students)
    places = lay_out(
        start, [(held.person_id, held.time_factor) for held in chosen], minutes=minutes, changeover=changeover
    )
    if not places:
        raise DaysError("Choose at least one student.", field="students")
    if places[-1].ends_at.astimezone(ZoneInfo(station.day.cohort.program.time_zone)).date() != station.day.date:
        raise DaysError(
            "The last slot would end after midnight. Choose fewer students or shorter slots.", field="start"
        )
    if station.evaluator_id in {place.student for place in places}:
        raise DaysError("The evaluator of this station is among the students.", field="students")
    planned = [Busy(p.student, station.name, p.starts_at, p.ends_at) for p in places]
    planned += [
        Busy(station.evaluator_id, station.name, p.starts_at, p.ends_at) for p in places if station.evaluator_id
    ]
    taken = [
        Busy(f"station {station.pk}", station.name, s.starts_at, s.starts_at + timedelta(minutes=s.minutes))
        for s in station.slots.all()
    ]
    planned += [Busy(f"station {station.pk}", station.name, p.starts_at, p.ends_at) for p in places]
    _refuse_clashes(station.day, planned, without=set(), field="start", taken=taken)
    slots = Slot.objects.bulk_create(
        Slot(station=station, student_id=p.student, starts_at=p.starts_at, minutes=p.minutes, purpose=purpose)
        for p in places
    )
    detail = {"students": [p.student for p in places], "start": start.isoformat(), "minutes": minutes}
    audit(by=by, act="station.filled", subject=station, program=station.day.cohort.program, detail=detail)
    return slots


@action
def move_slots(*, by: User, station: Station, minutes: int) -> int:
    """Move the slots not yet opened by some minutes, earlier when negative; the students' time stays whole.

    Returns how many were moved. Raises DaysError where somebody would be in two places.
    """
    _lock(station.day.cohort.program)
    slots = list(station.slots.filter(attempt=None).order_by("starts_at"))
    by_minutes = timedelta(minutes=minutes)
    planned = []
    for slot in slots:
        start = slot.starts_at + by_minutes
        for who in (slot.student_id, station.evaluator_id):
            if who is not None:
                planned.append(Busy(who, station.name, start, start + timedelta(minutes=slot.minutes)))
    _refuse_clashes(station.day, planned, without={slot.pk for slot in slots}, field="minutes")
    # One after another, from the far end, so that no two slots of the station hold the same time in between.
    for slot in slots if minutes < 0 else reversed(slots):
        slot.starts_at += by_minutes
        slot.save(update_fields=["starts_at"])
    program = station.day.cohort.program
    detail = {"minutes": minutes, "slots": len(slots)}
    audit(by=by, act="station.moved", subject=station, program=program, detail=detail)
    return len(slots)


@action
def remove_slot(*, by: User, slot: Slot) -> None:
    """Take a slot away. Raises DaysError once its attempt was opened."""
    if slot.attempt_id is not None:
        raise DaysError("The attempt of this slot was opened; it stays.")
    program = slot.station.day.cohort.program
    detail = {"student": slot.student_id, "starts_at": slot.starts_at.isoformat()}
    audit(by=by, act="slot.removed", subject=slot, program=program, detail=detail)
    slot.delete()


def _lock(program: Program) -> None:
    # Two coordinators planning at once must not both find the same student free.
    Program.objects.select_for_update().get(pk=program.pk)


def _refuse_name(day: Day, name: str, station: Station | None) -> None:
    same = day.stations.filter(name__iexact=name.strip())
    if (same.exclude(pk=station.pk) if station else same).exists():
        raise DaysError("The day already has a station of this name.", field="name")


def _refuse_clashes(
    day: Day, planned: list[Busy], *, without: set[int], field: str, taken: Iterable[Busy] = ()
) -> None:
    people = {busy.who for busy in planned if isinstance(busy.who, int)}
    found = clashes(planned, [*busy_people(day, people=people, without=without), *taken])
    if not found:
        return
    names: dict[Hashable, str] = dict(User.objects.filter(pk__in=people).values_list("pk", "full_name"))
    zone = ZoneInfo(day.cohort.program.time_zone)
    words = [
        f"{names.get(plan.who, plan.where)} is at {busy.where} from {busy.starts_at.astimezone(zone):%H:%M} "
        f"to {busy.ends_at.astimezone(zone):%H:%M}"
        for plan, busy in found[:3]
    ]
    more = f", and {len(found) - 3} more" if len(found) > 3 else ""
    raise DaysError(f"Planned twice: {'; '.join(words)}{more}. Nothing was saved.", field=field)


def _station_detail(station: Station) -> dict[str, object]:
    return {"name": station.name, "procedure": str(station.procedure_id), "evaluator": station.evaluator_id}
