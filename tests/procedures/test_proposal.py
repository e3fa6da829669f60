"""What was understood, as rows that can be corrected; nothing of the source is lost."""

from __future__ import annotations

from pathlib import Path

import pytest

from checkoffs.procedures.proposal import (
    JOIN,
    OUT,
    SECTION,
    STEP,
    SUBPOINT,
    Row,
    counts,
    reading_of,
    rows_of,
    settled,
)
from checkoffs.procedures.reading import read

VECTORS = Path(__file__).resolve().parents[2] / "fixtures/vectors/reading"


@pytest.mark.parametrize("name", sorted(path.stem for path in VECTORS.glob("*.txt")))
def test_rows_left_alone_give_the_reading_again(name: str) -> None:
    """The vectors of the reading, own compositions of layouts people use."""
    source = (VECTORS / f"{name}.txt").read_text()
    reading = read(source)
    rows = rows_of(reading, source)
    assert [row.text for row in rows if row.unread] == list(reading.unread)
    again = reading_of(reading.title, rows)
    assert again.sections == reading.sections
    assert again.unread == tuple(" ".join(line.split()) for line in reading.unread)


def test_unread_lines_stand_where_they_stood() -> None:
    source = "Pulse\n\n1. Clean hands\nbefore and after.\n\nSupplies:\n- a watch\n\nSteps:\n2. Count"
    rows = rows_of(read(source), source)
    assert [(row.kind, row.text, row.line) for row in rows] == [
        (STEP, "Clean hands before and after.", 3),
        (OUT, "Supplies:", 6),
        (OUT, "- a watch", 7),
        (SECTION, "Steps", 9),
        (STEP, "Count", 10),
    ]


def test_corrections_change_what_a_line_is() -> None:
    rows = [
        Row(OUT, "Supplies: gloves"),
        Row(SECTION, "Before"),
        Row(SUBPOINT, "first of all"),
        Row(STEP, "Clean", True),
        Row(JOIN, "both hands"),
        Row(SUBPOINT, "thumbs"),
        Row(OUT, "page 1 of 2"),
        Row(JOIN, "and nails"),
        Row(STEP, "   "),
    ]
    reading = reading_of("Title", rows)
    assert [(s.text, s.critical, s.subpoints) for s in reading.sections[0].steps] == [
        ("first of all", False, ()),
        ("Clean both hands", True, ("thumbs and nails",)),
    ]
    assert reading.unread == ("Supplies: gloves", "page 1 of 2")
    assert counts(settled(rows)) == {"section": 1, "step": 1, "subpoint": 2, "join": 0, "out": 2, "critical": 1}


def test_a_joined_line_with_nothing_above_is_a_step() -> None:
    assert settled([Row(JOIN, "Clean hands")]) == [Row(STEP, "Clean hands")]
