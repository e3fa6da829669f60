"""Rows of the procedures room: a procedure of the program, published once, with a draft of the next version."""

from typing import Any

from checkoffs.procedures import actions
from checkoffs.procedures.models import Procedure, ProcedureDraft
from tests.permission_table.rows import Row, for_
from tests.procedures.make import published
from tests.world import World

WRITES = ("instructor", "second_instructor")
READS = ("coordinator", *WRITES, "evaluator", "second_evaluator", "other_cohort_evaluator")
ELSEWHERE = ("outsider",)  # writes procedures of another program


def _made(world: World) -> Procedure:
    """Each test begins without it; a draft that a person of the row took away is opened again."""
    if "procedure" not in world.things:
        world.things["procedure"] = published(world)
    procedure: Procedure = world.things["procedure"]
    actions.open_draft(by=world.instructor, procedure=procedure)
    return procedure


def _procedure(world: World) -> dict[str, Any]:
    return {"procedure": _made(world).pk}


def _version(world: World) -> dict[str, Any]:
    return {"procedure": _made(world).pk, "number": 1}


def _revision(world: World) -> dict[str, Any]:
    return {"revision": ProcedureDraft.objects.get(procedure=world.procedure).revision}


def _head(world: World) -> dict[str, Any]:
    return _revision(world) | {"do": "head", "title": "Count a pulse"}


SEEN = for_(200, *READS) | for_(404, *ELSEWHERE)
NOT_ALLOWED = for_(405, *READS, *ELSEWHERE)
WRITTEN = for_(200, *WRITES) | for_(404, *ELSEWHERE)
REDIRECTED = for_(302, *WRITES) | for_(404, *ELSEWHERE)
ROWS = [
    Row("procedures:list", get=for_(200, *READS, *ELSEWHERE), post=NOT_ALLOWED),
    Row("procedures:new", get=for_(200, *WRITES, *ELSEWHERE), post=for_(200, *WRITES) | for_(200, *ELSEWHERE)),
    Row("procedures:procedure", get=SEEN, post=NOT_ALLOWED, args=_procedure),
    Row("procedures:version", get=SEEN, post=NOT_ALLOWED, args=_version),
    Row("procedures:draft", get=SEEN, post=NOT_ALLOWED, args=_procedure),
    Row("procedures:open_draft", get=REDIRECTED, post=REDIRECTED, args=_procedure),
    # the second to post finds the revision moved on, and is told so
    Row(
        "procedures:edit",
        get=WRITTEN,
        post={"instructor": 302, "second_instructor": 302, "outsider": 404},
        args=_procedure,
        data=_head,
    ),
    Row("procedures:rule", get=WRITTEN, post=for_(422, *WRITES) | for_(404, *ELSEWHERE), args=_procedure),
    # the first to post publishes, the second finds no draft
    Row("procedures:publish", get=WRITTEN, post=REDIRECTED, args=_procedure, data=lambda world: {"revision": 1}),
    Row(
        "procedures:discard_draft",
        get=WRITTEN,
        post=REDIRECTED,
        args=_procedure,
        data=lambda world: {"revision": 1},
    ),
    Row("procedures:retire", get=WRITTEN, post=REDIRECTED, args=_procedure),
]
