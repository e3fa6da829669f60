"""Rows of the attempts room: an attempt of ``student``, whose primary sheet is ``evaluator``'s."""

from typing import Any

from checkoffs.attempts.models import Sheet
from tests.attempts.make import open_attempt
from tests.permission_table.rows import SIGNED_IN, Row, for_
from tests.world import World

NO_SCORING = ("administrator", "coordinator", "technician")
COLLEAGUES = ("instructor", "second_instructor", "second_evaluator")
STUDENTS = ("student", "fellow_student", "other_cohort_student")
ELSEWHERE = ("other_cohort_evaluator", "outsider")


def sheet(world: World) -> dict[str, Any]:
    return {"sheet": open_attempt(world).sheets.get().pk}


def attempt(world: World) -> dict[str, Any]:
    return {"attempt": Sheet.objects.get(pk=sheet(world)["sheet"]).attempt_id}


OWN = for_(200, "evaluator") | for_(403, *COLLEAGUES)
SCORERS = for_(200, "evaluator", *COLLEAGUES, *ELSEWHERE)
ROWS = [
    Row("attempts:open", get=SCORERS | for_(200, *STUDENTS), post=SCORERS | for_(200, *STUDENTS)),
    Row("attempts:no_show", get=SCORERS, post=SCORERS),
    Row("attempts:sheet", get=OWN, post=for_(405, *SIGNED_IN), args=sheet, otherwise=404),
    Row("attempts:bundle", get=OWN, post=for_(405, *SIGNED_IN), args=sheet, otherwise=404),
    # a form instead of JSON: the owner is told so, the others do not get as far
    Row("attempts:events", get=for_(405, *SIGNED_IN), post=OWN | {"evaluator": 400}, args=sheet, otherwise=404),
    Row("attempts:take_over", get=for_(405, *SIGNED_IN), post=OWN | {"evaluator": 400}, args=sheet, otherwise=404),
    Row(
        "attempts:hand_over",
        get=OWN | for_(200, "instructor", "second_instructor") | for_(403, *NO_SCORING),
        post=OWN | for_(200, "instructor", "second_instructor") | for_(403, *NO_SCORING),
        args=sheet,
        otherwise=404,
    ),
    Row(
        "attempts:second_sheet",
        get={"evaluator": 302} | for_(200, *COLLEAGUES) | for_(403, *NO_SCORING),
        post=for_(302, "evaluator", *COLLEAGUES) | for_(403, *NO_SCORING),
        args=attempt,
        otherwise=404,
    ),
    Row(
        "attempts:move",
        get=for_(200, "evaluator", "instructor", "second_instructor") | for_(403, "second_evaluator", *NO_SCORING),
        post=for_(200, "evaluator", "instructor", "second_instructor") | for_(403, "second_evaluator", *NO_SCORING),
        args=attempt,
        otherwise=404,
    ),
]
