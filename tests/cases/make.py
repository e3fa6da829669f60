"""Case templates for tests of this and other rooms. The orders are invented; the arithmetic is plain."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

from checkoffs.cases.models import CaseTemplate
from checkoffs.procedures.models import Procedure
from tests.world import World

PUMP: dict[str, Any] = {
    "title": "Dopamine by pump",
    "order": "{drug} {dose} IV by pump for {patient}, who weighs {weight}.",
    "drug": "dopamine",
    "patient": "E. Quill (invented)",
    "label": "{drug} {drug_amount} in {volume}",
    "fields": {
        "dose": {"choose": ["3 mcg/kg/min", "5 mcg/kg/min", "7 mcg/kg/min"]},
        "weight": {"choose": ["62 kg", "70 kg", "83 kg"]},
        "drug_amount": {"fixed": "400 mg"},
        "volume": {"fixed": "250 mL"},
        "reserve": {"fixed": "20 mL"},
    },
    "weight_factor": "2.2",
    "checks": [
        {"id": "rate", "label": "Rate", "find": "rate", "rounding": {"places": 1}, "also_accepted": [{"places": 0}],
         "tolerance": None},
        {"id": "vtbi", "label": "Volume to be infused", "find": "vtbi", "rounding": {"places": 0},
         "uses": ["volume", "reserve"]},
    ],
}  # fmt: skip


def pump_document(**changes: Any) -> dict[str, Any]:
    """The document above, with parts replaced."""
    return deepcopy(PUMP) | changes


def pump_template(world: World, procedure: Procedure, **changes: Any) -> CaseTemplate:
    """A template in use, written by the world's instructor."""
    return CaseTemplate.objects.create(
        procedure=procedure, title=PUMP["title"], content=pump_document(**changes), updated_by=world.instructor
    )
