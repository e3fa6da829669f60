"""Rows of the cases room: a case of a procedure of the program."""

from typing import Any

from tests.cases.make import PUMP, pump_template
from tests.permission_table.rows import Row, for_
from tests.procedures.make import published
from tests.world import World

WRITES = ("instructor", "second_instructor")
ELSEWHERE = ("outsider",)  # writes cases of another program


def _template(world: World) -> dict[str, Any]:
    if "template" not in world.things:
        world.things["template"] = pump_template(world, published(world))
    return {"template": world.things["template"].pk}


def _procedure(world: World) -> dict[str, Any]:
    if "procedure" not in world.things:
        world.things["procedure"] = published(world)
    return {"procedure": world.things["procedure"].pk}


def typed(revision: int = 1) -> dict[str, Any]:
    """A case as the form posts it."""
    return {
        "revision": str(revision),
        "title": "Dopamine by pump",
        "order": PUMP["order"],
        "drug": "dopamine",
        "patient": PUMP["patient"],
        "f_dose": "3, 5 mcg/kg/min",
        "f_weight": "62 kg; 83 kg",
        "f_drug_amount": "400 mg",
        "f_volume": "250 mL",
        "checks-TOTAL_FORMS": "1",
        "checks-INITIAL_FORMS": "0",
        "checks-0-id": "rate",
        "checks-0-label": "Rate",
        "checks-0-find": "rate",
        "checks-0-places": "1",
        "checks-0-mode": "half_up",
    }


WRITTEN = for_(200, *WRITES) | for_(404, *ELSEWHERE)
REDIRECTED = for_(302, *WRITES) | for_(404, *ELSEWHERE)
ROWS = [
    Row("cases:new", get=WRITTEN, post=REDIRECTED, args=_procedure, data=lambda world: typed()),
    Row(
        "cases:try",
        get=for_(405, *WRITES, *ELSEWHERE),
        post=WRITTEN,
        args=_procedure,
        data=lambda world: typed(),
    ),
    # the first to post saves; the second, on the same revision, is told of it
    Row(
        "cases:edit",
        get=WRITTEN,
        post={"instructor": 302, "second_instructor": 409, "outsider": 404},
        args=_template,
        data=lambda world: typed(),
    ),
    Row("cases:retire", get=WRITTEN, post=REDIRECTED, args=_template),
]
