"""Rows of the review room: a sealed, unsatisfactory attempt of ``student`` with its record and its first task."""

from typing import Any

from checkoffs.records.models import RecordLeaf
from checkoffs.review.actions import catch_up
from tests.permission_table.rows import Row, for_
from tests.records.make import sealed_infusion
from tests.world import World

STUDENTS = ("student", "fellow_student", "other_cohort_student")
READERS = ("coordinator", "instructor", "second_instructor")
NO_RESULTS = ("administrator", "evaluator", "second_evaluator", "technician", "other_cohort_evaluator")


def _leaf(world: World) -> RecordLeaf:
    if "reviewed" not in world.things:
        world.things["reviewed"] = sealed_infusion(world)
        catch_up()
    return world.things["reviewed"]


def _attempt(world: World) -> dict[str, Any]:
    return {"attempt": _leaf(world).attempt_id}


def _code(world: World) -> dict[str, Any]:
    return {"code": _leaf(world).code}


def _task(world: World) -> dict[str, Any]:
    return {"task": _leaf(world).attempt.open_tasks.filter(required=True).first().pk}


ROWS = [
    Row("review:mine", get=for_(200, *STUDENTS), post=for_(405, *STUDENTS)),
    Row(
        "review:attempt",
        get=for_(200, "student", *READERS) | for_(403, *NO_RESULTS),
        post=for_(405, *READERS, *STUDENTS, "outsider") | for_(403, *NO_RESULTS),
        args=_attempt,
        otherwise=404,
    ),
    Row(
        "review:acknowledge",
        get=for_(405, *STUDENTS),
        post=for_(302, "student") | for_(404, "fellow_student", "other_cohort_student"),
        args=_code,
    ),
    Row(
        "review:done",
        get=for_(405, *STUDENTS),
        post=for_(302, "student") | for_(404, "fellow_student", "other_cohort_student"),
        args=_task,
    ),
    Row("review:tasks", get=for_(200, *READERS, "outsider"), post=for_(405, *READERS, "outsider")),
    Row(
        "review:confirm",
        get=for_(405, *READERS, "outsider"),
        post=for_(302, *READERS) | for_(404, "outsider"),
        args=_task,
    ),
]
