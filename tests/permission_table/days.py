"""Rows of the days room."""

from datetime import timedelta
from typing import Any

from django.utils import timezone

from checkoffs.days.models import Day, Slot, Station
from tests.attempts.make import small_version
from tests.permission_table.rows import Row, for_
from tests.world import World

BOARD = (
    "administrator",
    "coordinator",
    "instructor",
    "second_instructor",
    "evaluator",
    "second_evaluator",
    "technician",
)
SCORERS = ("instructor", "second_instructor", "evaluator", "second_evaluator")
ELSEWHERE = ("other_cohort_evaluator", "outsider")  # they have days of their own, not this one
PLANS = ("coordinator",)


def _made(world: World) -> Slot:
    if "slot" not in world.things:
        day = Day.objects.create(cohort=world.cohort, date=timezone.now().date(), title="Hands day")
        procedure = small_version(world).procedure
        station = Station.objects.create(day=day, name="Station 1", procedure=procedure, evaluator=world.evaluator)
        world.things["slot"] = Slot.objects.create(
            station=station, student=world.student, starts_at=timezone.now() - timedelta(minutes=30)
        )
    return world.things["slot"]


def _day(world: World) -> dict[str, Any]:
    return {"day": _made(world).station.day_id}


def _station(world: World) -> dict[str, Any]:
    return {"station": _made(world).station_id}


def _slot(world: World) -> dict[str, Any]:
    return {"slot": _made(world).pk}


def _plan(world: World) -> dict[str, Any]:
    return {"cohort": world.cohort.pk, "on": "2026-03-02", "title": "Second hands day"}


def _new_station(world: World) -> dict[str, Any]:
    return {"name": "Station 9", "procedure": str(small_version(world).procedure_id)}


ROWS = [
    Row("days:list", get=for_(200, *BOARD, *ELSEWHERE), post=for_(405, *BOARD, *ELSEWHERE)),
    Row(
        "days:today",
        get=for_(200, *SCORERS, *ELSEWHERE),
        post=for_(405, *SCORERS, *ELSEWHERE),
    ),
    Row("days:plan", get=for_(200, *PLANS), post=for_(302, *PLANS), data=_plan),
    Row(
        "days:day",
        get=for_(200, *BOARD) | for_(404, *ELSEWHERE),
        post=for_(405, *BOARD, *ELSEWHERE),
        args=_day,
    ),
    Row(
        "days:board",
        get=for_(200, *BOARD) | for_(404, *ELSEWHERE),
        post=for_(405, *BOARD, *ELSEWHERE),
        args=_day,
    ),
    Row("days:csv", get=for_(200, *PLANS), post=for_(405, *PLANS), args=_day),
    Row("days:edit", get=for_(200, *PLANS), post=for_(200, *PLANS), args=_day),
    Row("days:add_station", get=for_(200, *PLANS), post=for_(302, *PLANS), args=_day, data=_new_station),
    Row("days:edit_station", get=for_(200, *PLANS), post=for_(302, *PLANS), args=_station, data=_new_station),
    Row("days:remove_station", get=for_(200, *PLANS), post=for_(302, *PLANS), args=_station),
    Row("days:fill_station", get=for_(200, *PLANS), post=for_(200, *PLANS), args=_station),
    Row(
        "days:move_slots",
        get=for_(200, *PLANS),
        post=for_(302, *PLANS),
        args=_station,
        data=lambda world: {"minutes": "5"},
    ),
    Row(
        "days:check_in",
        get=for_(405, *(set(BOARD) - {"administrator"}), *ELSEWHERE),
        post=for_(302, *(set(BOARD) - {"administrator"})) | for_(404, *ELSEWHERE),
        args=_slot,
    ),
    Row(
        "days:open_slot",
        get=for_(200, *SCORERS) | for_(404, *ELSEWHERE),
        # the first to touch it gets the sheet, the others are told that somebody has it
        post=for_(302, "instructor") | for_(200, *SCORERS[1:]) | for_(404, *ELSEWHERE),
        args=_slot,
    ),
    Row(
        "days:no_show",
        get=for_(200, *SCORERS) | for_(404, *ELSEWHERE),
        post=for_(302, "instructor") | for_(200, *SCORERS[1:]) | for_(404, *ELSEWHERE),
        args=_slot,
        data=lambda world: {"reason": "Not here, no answer."},
    ),
    Row("days:remove_slot", get=for_(200, *PLANS), post=for_(302, *PLANS), args=_slot),
]
