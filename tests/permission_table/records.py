"""Rows of the records room. The record is of an attempt of cohort A, scored by the evaluator."""

from __future__ import annotations

from typing import Any

from checkoffs.records.models import RecordLeaf
from tests.permission_table.rows import SIGNED_IN, Row, everyone, for_
from tests.records import make
from tests.world import World


def _leaf(world: World) -> RecordLeaf:
    if "leaf" not in world.things:
        world.things["leaf"] = make.sealed_infusion(world)
    leaf: RecordLeaf = world.things["leaf"]
    return leaf


def _code(world: World) -> dict[str, Any]:
    return {"code": _leaf(world).code}


def _sheet(world: World) -> dict[str, Any]:
    return {"sheet_id": make.finished_infusion(world).sheets.get().pk}


def _waiting(world: World) -> dict[str, Any]:
    return {"attempt_id": make.in_moderation(world).pk}


INSTRUCTORS = ("instructor", "second_instructor")
READERS = ("coordinator", *INSTRUCTORS, "evaluator", "student")
LISTED = (
    "coordinator",
    *INSTRUCTORS,
    "evaluator",
    "second_evaluator",
    "student",
    "fellow_student",
    "other_cohort_student",
    "other_cohort_evaluator",
    "outsider",
)
ROWS = [
    Row("records:list", get=for_(200, *LISTED), post=for_(405, *SIGNED_IN)),
    Row("records:verify", get=everyone(200), post=everyone(405)),
    Row("records:head", get=everyone(200), post=everyone(405)),
    Row("records:record", args=_code, get=for_(200, *READERS), post=for_(405, *SIGNED_IN), otherwise=404),
    Row("records:pdf", args=_code, get=for_(202, *READERS), post=for_(405, *SIGNED_IN), otherwise=404),
    # An empty form comes back with its errors: 200, nothing written. Vera Stranger teaches elsewhere: 404.
    Row(
        "records:amend",
        args=_code,
        get=for_(200, *INSTRUCTORS) | {"outsider": 404},
        post=for_(200, *INSTRUCTORS) | {"outsider": 404},
    ),
    Row("records:void", args=_code, get={"coordinator": 200}, post={"coordinator": 200}),
    # Nothing was sent: the sheet's own evaluator is told so.
    Row(
        "records:sign",
        args=_sheet,
        get=for_(405, *SIGNED_IN),
        post={"evaluator": 400},
        post_otherwise=404,
    ),
    # Nothing was settled: 400 for who may settle; a coordinator is shown the page again.
    Row(
        "records:moderate",
        args=_waiting,
        get=for_(200, "coordinator", *INSTRUCTORS),
        post=for_(400, *INSTRUCTORS) | {"coordinator": 200},
        otherwise=404,
    ),
]
