"""Reading days: which may be seen, a day's board, an evaluator's today, who is busy when."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Count, Min, Q, QuerySet
from django.utils import timezone

from checkoffs.attempts.queries import rule_of
from checkoffs.cases.models import CaseTemplate
from checkoffs.cases.queries import answers
from checkoffs.days.board import Facts, SlotState, StationState, slot_state, station_state
from checkoffs.days.models import Day, Slot, Station
from checkoffs.days.timetable import Busy
from checkoffs.people.models import Cohort, Membership, Role, User
from checkoffs.people.permissions import Access, Act
from checkoffs.people.queries import in_force, students_of
from checkoffs.procedures.models import ProcedureVersion


def zone_of(day: Day) -> ZoneInfo:
    """The time zone in which a day's hours are meant."""
    return ZoneInfo(day.cohort.program.time_zone)


def days_seen(access: Access) -> QuerySet[Day]:
    """Days whose board this person may see."""
    return Day.objects.filter(cohort__in=access.cohorts(Act.SEE_BOARD)).select_related("cohort__program")


def days_planned_by(access: Access) -> QuerySet[Day]:
    """Days this person may plan."""
    return Day.objects.filter(cohort__in=access.cohorts(Act.SCHEDULE)).select_related("cohort__program")


def day_list(access: Access, *, when: str, text: str) -> QuerySet[Day]:
    """Days with counts; ``when`` is ahead (today too), past or all."""
    days = days_seen(access).annotate(
        station_count=Count("stations", distinct=True),
        slot_count=Count("stations__slots", distinct=True),
        open_count=Count("stations__slots", filter=Q(stations__slots__attempt=None), distinct=True),
        first_slot=Min("stations__slots__starts_at"),
    )
    if text:
        days = days.filter(Q(title__icontains=text) | Q(cohort__name__icontains=text))
    today = timezone.localdate()
    if when == "past":
        return days.filter(date__lt=today).order_by("-date", "title", "pk")
    if when == "all":
        return days.order_by("-date", "title", "pk")
    return days.filter(date__gte=today).order_by("date", "title", "pk")


def facts_of(slot: Slot) -> Facts:
    """What the board needs of a slot read with its attempt."""
    attempt = slot.attempt
    return Facts(
        slot.starts_at,
        slot.minutes,
        slot.arrived_at,
        attempt.state if attempt else "",
        attempt.opened_at if attempt else None,
        attempt.no_show if attempt else False,
    )


def initials(person: User) -> str:
    """Two letters that tell neighbours on a list apart without naming anyone: `Marit Adeyemi` gives `M.A.`"""
    words = person.full_name.split()
    return "".join(f"{word[0].upper()}." for word in ([words[0], words[-1]] if len(words) > 1 else words))


@dataclass(frozen=True)
class SlotLine:
    """One line of the board."""

    number: int
    slot: Slot
    state: SlotState
    initials: str


@dataclass(frozen=True)
class StationLine:
    """One station of the board with its lines."""

    station: Station
    state: StationState
    slots: list[SlotLine]


def day_board(day: Day, now: datetime, *, results: bool = False) -> list[StationLine]:
    """Stations and slots of a day with their states; two queries. ``results``: also tell what needs moderation."""
    slots = Slot.objects.select_related("student", "attempt").order_by("starts_at", "pk")
    by_station: dict[int, list[Slot]] = {}
    for slot in slots.filter(station__day=day):
        by_station.setdefault(slot.station_id, []).append(slot)
    lines = []
    for station in day.stations.select_related("procedure", "evaluator"):
        found = by_station.get(station.pk, [])
        facts = [facts_of(slot) for slot in found]
        shown = [
            SlotLine(n, slot, slot_state(fact, now, results=results), initials(slot.student))
            for n, (slot, fact) in enumerate(zip(found, facts, strict=True), start=1)
        ]
        lines.append(StationLine(station, station_state(facts, now), shown))
    return lines


def day_counts(board: list[StationLine]) -> dict[str, int]:
    """How many slots are in which state, how many altogether, and the stations that run late or lack someone."""
    codes = [line.state.code for station in board for line in station.slots]
    return {
        "all": len(codes),
        "done": sum(code in {"done", "signed", "moderation", "no_show"} for code in codes),
        "in_station": codes.count("in_station"),
        "late": codes.count("late"),
        "waiting": codes.count("waiting"),
        "stations_late": sum(station.state.minutes_late > 0 for station in board),
        "without_evaluator": sum(station.station.evaluator_id is None for station in board),
    }


def _day_bounds(on: date, zone: str) -> tuple[datetime, datetime]:
    start = datetime.combine(on, time.min, tzinfo=ZoneInfo(zone))
    return start, datetime.combine(on + timedelta(days=1), time.min, tzinfo=ZoneInfo(zone))


def todays_slots(access: Access, *, on: date, zone: str) -> QuerySet[Slot]:
    """Slots of one calendar day at the stations of this evaluator."""
    start, end = _day_bounds(on, zone)
    return (
        Slot.objects.filter(
            station__evaluator=access.person,
            station__day__cohort__in=access.cohorts(Act.SCORE),
            starts_at__gte=start,
            starts_at__lt=end,
        )
        .select_related("student", "attempt", "station__procedure", "station__day__cohort__program")
        .order_by("starts_at", "pk")
    )


def busy_people(day: Day, *, people: set[int], without: Collection[int] = ()) -> list[Busy]:
    """Where people are already planned around a day's date, in any cohort; ``without`` leaves slots out."""
    start, end = _day_bounds(day.date, day.cohort.program.time_zone)
    slots = (
        Slot.objects.filter(starts_at__gte=start - timedelta(hours=12), starts_at__lt=end + timedelta(hours=12))
        .filter(Q(student__in=people) | Q(station__evaluator__in=people))
        .exclude(pk__in=without)
        .exclude(attempt__no_show=True)
        .select_related("station__day")
    )
    found = []
    for slot in slots:
        where, ends = str(slot.station), slot.starts_at + timedelta(minutes=slot.minutes)
        for who in {slot.student_id, slot.station.evaluator_id} & people:
            found.append(Busy(who, where, slot.starts_at, ends))
    return found


def suitable_templates(version: ProcedureVersion) -> list[CaseTemplate]:
    """Cases in use for a procedure that have an answer for each value its version asks for; all when it asks none."""
    asked = {check.id for check in rule_of(version).stated}
    templates = CaseTemplate.objects.filter(procedure=version.procedure_id, retired_at=None).order_by("title", "pk")
    return [template for template in templates if asked <= set(answers(template))]


def students_to_score(access: Access) -> list[tuple[Cohort, list[User]]]:
    """Students by cohort, of the cohorts in which this person scores today; two queries."""
    cohorts = {cohort.pk: cohort for cohort in access.cohorts(Act.SCORE)}
    held = (
        Membership.objects.filter(in_force(timezone.localdate()), cohort__in=cohorts, role=Role.STUDENT)
        .filter(person__is_active=True)
        .exclude(person=access.person)
        .select_related("person")
        .order_by("person__full_name", "pk")
    )
    found: dict[int, list[User]] = {}
    for one in held:
        found.setdefault(one.cohort_id or 0, []).append(one.person)
    return [(cohort, found[pk]) for pk, cohort in cohorts.items() if pk in found]


def fill_defaults(station: Station) -> dict[str, Any]:
    """What the form for slots begins with: after the last slot, the procedure's limit, who has no slot for it yet."""
    last = station.slots.order_by("-starts_at").first()
    zone = zone_of(station.day)
    start = last.starts_at + timedelta(minutes=last.minutes + 10) if last else None
    version = station.procedure.versions.order_by("-number").first()
    limits = version.content.get("rule", {}).get("limits", []) if version else []
    whole = next((limit["limit_s"] for limit in limits if limit["scope"] == "whole"), 20 * 60)
    planned = Slot.objects.filter(station__day=station.day, station__procedure=station.procedure).values("student")
    open_ones = students_of(station.day.cohort, on=station.day.date).exclude(person__in=planned)
    return {
        "start": start.astimezone(zone).time() if start else time(9, 0),
        "minutes": -(-int(whole) // 60),
        "students": [held.pk for held in open_ones],
    }
