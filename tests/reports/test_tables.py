"""The competence table as rows: a line a student, a column a procedure, the day where the program is."""

from __future__ import annotations

from checkoffs.reports.matrix import matrix
from checkoffs.reports.tables import people
from tests.reports import make
from tests.world import World


def test_people_by_procedures(world: World) -> None:
    leaf = make.passed(world)
    table = people(matrix(world.cohort))
    assert table.head == ["student", "number", leaf.attempt.version.procedure.title, "competent in"]
    assert ["Adeyemi, Marit", world.student.number, "seen 2026-10-14", 1] in table.rows
    assert ["Aldous, Piers", world.fellow_student.number, "open", 0] in table.rows
