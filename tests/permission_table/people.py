"""Rows of the people room."""

from typing import Any

from tests.permission_table.rows import Row, everyone, for_
from tests.world import World

ENROL = ("administrator", "coordinator")


def _student(world: World) -> dict[str, Any]:
    return {"person": world.student.opaque}


def _evaluator(world: World) -> dict[str, Any]:
    return {"person": world.evaluator.opaque}


def _foreigner(world: World) -> dict[str, Any]:
    return {"person": world.outsider.opaque}


def _enrolment(world: World) -> dict[str, Any]:
    return {"membership": world.student.memberships.get().pk}


def _employment(world: World) -> dict[str, Any]:
    return {"membership": world.evaluator.memberships.get().pk}


def _cohort(world: World) -> dict[str, Any]:
    return {"cohort": world.cohort.pk}


def _foreign_cohort(world: World) -> dict[str, Any]:
    return {"cohort": world.foreign_cohort.pk}


def _new_person(world: World) -> dict[str, Any]:
    return {"full_name": "Ingo Varlind", "role": "student", "place": f"c{world.cohort.pk}", "starts": "2026-01-05"}


def _details(world: World) -> dict[str, Any]:
    return {"full_name": "Marit Adeyemi-Ross", "username": "student"}


def _role(world: World) -> dict[str, Any]:
    return {"role": "student", "place": f"c{world.other_cohort.pk}", "starts": "2026-01-05"}


ROWS = [
    Row("people:list", get=for_(200, *ENROL), post=for_(405, *ENROL)),
    Row("people:csv", get=for_(200, *ENROL), post=for_(405, *ENROL)),
    Row("people:add", get=for_(200, *ENROL), post=for_(302, *ENROL), data=_new_person),
    Row("people:import", get=for_(200, *ENROL), post=for_(200, *ENROL)),
    Row("people:links", get=for_(200, *ENROL), post=for_(200, *ENROL)),
    Row("people:first_sign_in", get=everyone(302), post=everyone(405), args=lambda world: {"token": "x"}),
    Row("people:first_password", get=everyone(404), post=everyone(404)),
    Row("people:cohorts", get=for_(200, *ENROL), post=for_(405, *ENROL)),
    Row("people:add_cohort", get=for_(200, "administrator"), post=for_(200, "administrator")),
    Row("people:edit_cohort", get=for_(200, "administrator"), post=for_(200, "administrator"), args=_cohort),
    Row("people:edit_cohort", get=for_(404, "administrator"), post=for_(404, "administrator"), args=_foreign_cohort),
    Row("people:audit", get=for_(200, *ENROL), post=for_(405, *ENROL)),
    Row("people:person", get=for_(200, *ENROL), post=for_(405, *ENROL), args=_student),
    Row("people:person", get=for_(200, *ENROL), post=for_(405, *ENROL), args=_evaluator),
    Row("people:person", get=for_(404, *ENROL), post=for_(405, *ENROL), args=_foreigner),
    Row("people:edit", get=for_(200, *ENROL), post=for_(302, *ENROL), args=_student, data=_details),
    # an evaluator's account is the administrator's business
    Row("people:edit", get=for_(200, "administrator"), post=for_(200, "administrator"), args=_evaluator),
    Row("people:edit", get=for_(404, *ENROL), post=for_(404, *ENROL), args=_foreigner),
    Row(
        "people:add_membership",
        get=for_(200, *ENROL),
        post={"administrator": 302, "coordinator": 200},  # the second finds the role held already, and is told so
        args=_student,
        data=_role,
    ),
    Row("people:add_membership", get=for_(404, *ENROL), post=for_(404, *ENROL), args=_foreigner, data=_role),
    Row("people:set_active", get=for_(200, *ENROL), post=for_(302, *ENROL), args=_student),
    Row(
        "people:set_active",
        get=for_(200, "administrator"),
        post=for_(302, "administrator", "evaluator"),  # the evaluator, closed a moment before, is signed out
        args=_evaluator,
    ),
    Row("people:set_active", get=for_(404, *ENROL), post=for_(404, *ENROL), args=_foreigner),
    Row("people:new_link", get=for_(200, *ENROL), post=for_(200, *ENROL), args=_student),
    Row("people:new_link", get=for_(200, "administrator"), post=for_(200, "administrator"), args=_evaluator),
    Row("people:new_link", get=for_(404, *ENROL), post=for_(404, *ENROL), args=_foreigner),
    Row(
        "people:end_membership",
        get=for_(200, *ENROL),
        post=for_(302, *ENROL),
        args=_enrolment,
        data=lambda world: {"ends": "2026-12-31"},
    ),
    Row(
        "people:end_membership",
        get=for_(200, "administrator"),
        post=for_(302, "administrator"),
        args=_employment,
        data=lambda world: {"ends": "2026-12-31"},
    ),
    Row(
        "people:extra_time",
        get=for_(200, "coordinator"),
        post=for_(302, "coordinator"),
        args=_enrolment,
        data=lambda world: {"time_factor": "1.5"},
    ),
    Row("people:extra_time", get={}, post={}, args=_employment),
]
