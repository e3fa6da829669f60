"""Today at the invented college: stations with slots done, under way, waiting and still to come."""

from __future__ import annotations

from datetime import datetime, timedelta
from random import Random

from checkoffs.days import actions as days
from checkoffs.days import planning
from checkoffs.days.models import Slot
from checkoffs.management.demo.clock import the_time_is
from checkoffs.management.demo.college import College
from checkoffs.management.demo.past import Past
from checkoffs.management.demo.performance import Plan, perform
from checkoffs.management.demo.stories import CATHETER, PIGGYBACK, PUMP
from checkoffs.people.models import Membership, User
from checkoffs.records import actions as records

MINUTES, CHANGEOVER = 30, 5


def play(college: College, now: datetime, seed: int) -> None:
    """Plan the day and play it up to this minute: the first slots are over, one is under way, one student waits."""
    past = Past(college, now, seed)
    start = _start(now.astimezone(past.zone))
    coordinator = college.people["Odile Brannagh"]
    with the_time_is(now - timedelta(days=3)):
        slots = _plan(college, start, coordinator)
    for lane in slots:
        _through(past, lane, now)


def _start(here: datetime) -> datetime:
    """Two hours ago on the half hour, or as early as the calendar day allows."""
    early = here - timedelta(hours=2)
    if early.date() != here.date():
        early = here.replace(hour=0, minute=10)
    return early.replace(minute=early.minute - early.minute % 5, second=0, microsecond=0)


def _plan(college: College, start: datetime, coordinator: User) -> list[list[Slot]]:
    day = planning.plan_day(
        by=coordinator,
        cohort=college.cohorts["26-A"],
        on=start.date(),
        title="Infusions, second round",
    )
    students = college.students("26-A")
    lanes = (
        ("Station 1", PUMP, "Jo Castellane", [9, 10, 11, 12, 13]),
        ("Station 2", PUMP, "Mina Farrow", [5, 8]),
        ("Station 3", PIGGYBACK, "Desmond Achterberg", [3]),
        ("Station 4", CATHETER, None, [10]),
    )
    made = []
    for name, procedure, evaluator, chosen in lanes:
        station = planning.add_station(
            by=coordinator,
            day=day,
            name=name,
            procedure=college.versions[procedure].procedure,
            evaluator=college.people[evaluator] if evaluator else None,
        )
        held = [Membership.objects.get(person=students[n], role="student") for n in chosen]
        shift = timedelta(minutes=150) if name in {"Station 3", "Station 4"} else timedelta()
        made.append(
            planning.fill_station(
                by=coordinator,
                station=station,
                students=held,
                start=start + shift,
                minutes=MINUTES,
                changeover=CHANGEOVER,
                purpose="summative",
            )
        )
    return made


def _through(past: Past, lane: list[Slot], now: datetime) -> None:
    """Slots that are over were scored; the running one is open; the next student has come."""
    for slot in lane:
        evaluator = slot.station.evaluator
        ends = slot.starts_at + timedelta(minutes=slot.minutes)
        if evaluator is None or slot.starts_at > now + timedelta(minutes=40):
            continue
        if ends <= now:
            _done(past, slot, evaluator)
        elif slot.starts_at <= now:
            _under_way(past, slot, evaluator, now)
        else:
            with the_time_is(now - timedelta(minutes=2)):
                days.check_in(by=evaluator, slot=slot, arrived=True)


def _done(past: Past, slot: Slot, evaluator: User) -> None:
    with the_time_is(slot.starts_at):
        days.check_in(by=evaluator, slot=slot, arrived=True)
        sheet = days.open_slot(by=evaluator, slot=slot, override_reason="")
    taps = past.taps(sheet.attempt, None, "satisfactory")
    ends = past.tap(sheet, taps, slot.starts_at + timedelta(minutes=1))
    with the_time_is(ends + timedelta(minutes=2)):
        records.sign(by=evaluator, sheet=sheet, shown="no_statement", statement="", how="password")


def _under_way(past: Past, slot: Slot, evaluator: User, now: datetime) -> None:
    with the_time_is(slot.starts_at):
        days.check_in(by=evaluator, slot=slot, arrived=True)
        sheet = days.open_slot(by=evaluator, slot=slot, override_reason="")
    content = sheet.attempt.version.content
    key = sheet.attempt.case.answer_key if sheet.attempt.case else None
    taps = perform(content, key, Plan(pace=0.8), Random(5))
    sofar = [tap for tap in taps if slot.starts_at + timedelta(minutes=1, milliseconds=tap[2]) <= now]
    if sofar:
        past.tap(sheet, sofar, slot.starts_at + timedelta(minutes=1))
