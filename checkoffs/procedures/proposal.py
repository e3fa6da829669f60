"""What was understood of a pasted list, as rows a person can correct before anything is saved. Pure.

Each row is a section heading, a step, a sub-point, a part of the line above, or left out. Lines that were not
understood stand among the rows where they stood in the source.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from checkoffs.procedures.reading import Reading, ReadSection, ReadStep

SECTION, STEP, SUBPOINT, JOIN, OUT = "section", "step", "subpoint", "join", "out"
KINDS = {
    SECTION: "Section",
    STEP: "Step",
    SUBPOINT: "Sub-point",
    JOIN: "Joins the line above",
    OUT: "Left out",
}
MOST_ROWS = 900
_START = 24
_LEAST = 4
_MARKER = re.compile(r"^(?:\d+|[a-z]|[ivx]+) ")


@dataclass(frozen=True)
class Row:
    """kind: one of KINDS; line: the line of the source (from 1) where it was found, or None."""

    kind: str
    text: str
    critical: bool = False
    line: int | None = None
    unread: bool = False  # not understood by the reading, whatever a person made of it since


def rows_of(reading: Reading, source: str) -> list[Row]:
    """The rows of a reading, in the order of the source."""
    lines = [_plain(line) for line in source.splitlines()]
    rows = list(_located(_understood(reading), lines))
    cursor = 0
    for text in reading.unread:
        line = _find(_plain(text), lines, cursor, whole=True)
        cursor = line or cursor
        rows = _placed(rows, Row(OUT, text, line=line, unread=True))
    return rows


def reading_of(title: str, rows: Iterable[Row]) -> Reading:
    """The reading that corrected rows stand for. A sub-point without a step above it is taken as a step."""
    sections: list[tuple[str, list[tuple[str, bool, list[str]]]]] = []
    left_out: list[str] = []
    for row in settled(rows):
        if row.kind == OUT:
            left_out.append(row.text)
        elif row.kind == SECTION:
            sections.append((row.text, []))
        else:
            if not sections:
                sections.append(("", []))
            steps = sections[-1][1]
            if row.kind == SUBPOINT and steps:
                steps[-1][2].append(row.text)
            else:
                steps.append((row.text, row.critical, []))
    read = tuple(
        ReadSection(name, tuple(ReadStep(text, critical, tuple(below)) for text, critical, below in steps))
        for name, steps in sections
    )
    return Reading(title, read, tuple(left_out))


def settled(rows: Iterable[Row]) -> list[Row]:
    """The rows with joined lines joined, and rows without words gone."""
    done: list[Row] = []
    for row in rows:
        text = " ".join(row.text.split())
        if not text:
            continue
        above = next((place for place in range(len(done) - 1, -1, -1) if done[place].kind != OUT), None)
        if row.kind == JOIN and above is not None:
            held = done[above]
            done[above] = replace(held, text=f"{held.text} {text}", critical=held.critical or row.critical)
        else:
            done.append(replace(row, text=text, kind=STEP if row.kind == JOIN else row.kind))
    return done


def counts(rows: Sequence[Row]) -> dict[str, int]:
    """How many rows of each kind; ``critical`` counts critical steps."""
    found = {kind: sum(row.kind == kind for row in rows) for kind in KINDS}
    return found | {"critical": sum(row.critical and row.kind == STEP for row in rows)}


def _understood(reading: Reading) -> Iterator[Row]:
    for section in reading.sections:
        if section.title:
            yield Row(SECTION, section.title)
        for step in section.steps:
            yield Row(STEP, step.text, step.critical)
            for point in step.subpoints:
                yield Row(SUBPOINT, point)


def _located(rows: Iterable[Row], lines: list[str]) -> Iterator[Row]:
    cursor = 0
    for row in rows:
        line = _find(_plain(row.text), lines, cursor)
        cursor = (line - 1) if line else cursor
        yield replace(row, line=line)


def _find(text: str, lines: list[str], cursor: int, *, whole: bool = False) -> int | None:
    """The line (from 1) that a text begins on; ``whole``: that is this text and nothing else."""
    if not text:
        return None
    for number in range(cursor, len(lines)):
        if lines[number] == text if whole else _begins(text, lines[number]):
            return number + 1
    return None


def _begins(text: str, line: str) -> bool:
    bare = _MARKER.sub("", line)
    return text[:_START] in line or (len(bare) >= _LEAST and text.startswith(f"{bare} "))


def _placed(rows: list[Row], row: Row) -> list[Row]:
    """The rows with one more at its line; after those of the same line, at the end when it has none."""
    place = len(rows)
    if row.line is not None:
        after = (at for at, other in enumerate(rows) if other.line is not None and other.line > (row.line or 0))
        place = next(after, place)
    return [*rows[:place], row, *rows[place:]]


def _plain(text: str) -> str:
    return re.sub(r"[^\w]+", " ", text).strip().lower()
