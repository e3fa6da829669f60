"""Procedures for tests of this room's pages: a small list in words of our own, published or as a draft."""

from __future__ import annotations

from typing import Any

from checkoffs.procedures import actions
from checkoffs.procedures.content import Content, from_reading
from checkoffs.procedures.models import Procedure
from checkoffs.procedures.reading import read
from tests.world import World

LIST = """Measure a pulse at the wrist

Before
1. Clean hands
2. Confirm name and birth date with the wristband (critical)
At the bedside
3. Find the pulse below the thumb
   - two fingers, no thumb
   - light pressure
4. Count for a full minute
5. Write the rate down
"""


def pulse() -> Content:
    """A sound content: two sections, five steps s1..s5 with sections s0 and s3 counted in one row of ids."""
    numbers = iter(range(100))
    content = from_reading(read(LIST), lambda: f"s{next(numbers)}")
    for section in content["sections"]:
        for step in section["steps"]:
            if step["critical"]:
                step["critical_reason"] = "A count of the wrong person treats the wrong person."
    return content


def ids(content: Content) -> list[str]:
    """The ids of all steps in order."""
    return [step["id"] for section in content["sections"] for step in section["steps"]]


def drafted(world: World, **changes: Any) -> Procedure:
    """A procedure with a draft, brought in by the instructor."""
    content: Any = {**pulse(), **changes}
    return actions.create_procedure(by=world.instructor, program=world.program, content=content)


def published(world: World) -> Procedure:
    """A procedure with version 1 and no draft."""
    procedure = drafted(world)
    actions.publish(by=world.instructor, procedure=procedure, revision=1)
    return procedure
