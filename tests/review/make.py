"""The invented infusion with teaching notes, so that a review has something to say."""

from __future__ import annotations

from checkoffs.procedures.models import Procedure, ProcedureVersion
from tests.records import infusion
from tests.records.make import NOW
from tests.world import World

WHY = "The hub is the door to the vein. Scrubbing loosens what lives on it; drying is when the agent kills."
RIGHT = [
    "Fresh swab, hub held up, touching nothing.",
    "Scrub top and threads for the time your lab sets, with friction.",
    "Wait until it is dry. Count it out loud.",
    "Connect at once. If it touches anything, begin again.",
]


def teaching_content() -> dict:
    """The procedure's content, with why and right at step 24, and a cue that must stay unseen."""
    content = infusion.content()
    step = next(step for section in content["sections"] for step in section["steps"] if step["id"] == "s24")
    step |= {"why": WHY, "right": RIGHT, "cue": "Watch the second hand"}
    return content


def teaching_infusion(world: World) -> ProcedureVersion:
    """Published before ``tests.records.make`` would publish its own; that one then finds this."""
    content = teaching_content()
    procedure = Procedure.objects.create(program=world.program, title=content["title"], created_by=world.instructor)
    return ProcedureVersion.objects.create(
        procedure=procedure, number=3, content=content, digest="ab" * 32,
        published_by=world.instructor, published_at=NOW,
    )  # fmt: skip
