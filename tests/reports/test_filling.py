"""The derived marks equal the snapshots, are filled once, and can be rebuilt."""

from __future__ import annotations

from dataclasses import asdict
from io import StringIO

from django.core.management import call_command

from checkoffs.records.actions import amend
from checkoffs.records.models import RecordLeaf
from checkoffs.records.queries import snapshot_of
from checkoffs.reports import filling
from checkoffs.reports.marks import marks_of
from checkoffs.reports.models import StepMark
from tests.reports import make
from tests.world import World

FIELDS = ("step", "number", "critical", "mark", "at_ms", "caught_up", "missed")


def stored() -> set[tuple]:
    """All rows of the table."""
    return {(str(sheet), *rest) for sheet, *rest in StepMark.objects.values_list("sheet", *FIELDS)}


def from_snapshots() -> set[tuple]:
    """What the snapshots of all first documents say."""
    rows = set()
    for leaf in RecordLeaf.objects.filter(kind="record"):
        for line in marks_of(snapshot_of(leaf) or {"sheets": []}):
            found = asdict(line)
            rows.add((found["sheet"], *(found[name] for name in FIELDS)))
    return rows


def test_the_table_equals_the_snapshots(world: World) -> None:
    make.cohort(world)
    make.no_show(world, world.fellow_student)
    assert filling.catch_up() == 4
    assert len(stored()) == 4 * 34
    assert stored() == from_snapshots()


def test_filling_twice_and_amending_change_nothing(world: World) -> None:
    leaf = make.failed(world)
    filling.catch_up()
    before = stored()
    amend(by=world.instructor, leaf=leaf, reason="Heard wrong.", changes={"outcome": "satisfactory"})
    assert filling.catch_up() == 0
    assert stored() == before


def test_rebuild_makes_what_was_damaged_anew(world: World) -> None:
    make.cohort(world, 2)
    filling.catch_up()
    StepMark.objects.filter(step="s24").update(missed=False)
    StepMark.objects.filter(step="s1").delete()
    out = StringIO()
    call_command("rebuild", stdout=out)
    assert "3 attempts filled; 3 documents followed up" in out.getvalue()
    assert stored() == from_snapshots()
