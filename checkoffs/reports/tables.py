"""The tables that leave the program, as rows of plain values: people × procedures, attempts, step figures."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from checkoffs.people.models import Cohort
from checkoffs.records.models import RecordLeaf
from checkoffs.reports.matrix import Matrix, counting_attempts, matrix
from checkoffs.reports.queries import Figures, figures
from checkoffs.reports.statistics.misses import StepFigure
from checkoffs.reports.words import TOO_FEW

Value = str | int | float | None


@dataclass(frozen=True)
class Table:
    """A title, the names of the columns, the rows."""

    title: str
    head: Sequence[str]
    rows: Sequence[Sequence[Value]]


def people(found: Matrix) -> Table:
    """Who is competent in what: a line a student, a column a procedure."""
    zone = ZoneInfo(found.cohort.program.time_zone)
    rows: list[list[Value]] = []
    for row in found.rows:
        states = [f"{one.word} {one.at.astimezone(zone):%Y-%m-%d}" if one.at else one.word for one in row.cells]
        rows.append([row.last_first, row.student.number, *states, row.seen])
    head = ["student", "number", *(procedure.title for procedure in found.procedures), "competent in"]
    return Table("Competence", head, rows)


ATTEMPTS = (
    "student", "number", "procedure", "list version", "attempt", "day", "time", "zone", "place", "state", "outcome",
    "scored by", "sealed", "record", "kind of record",
)  # fmt: skip


def attempts(cohort: Cohort) -> Table:
    """Every counting attempt, a line each, with the outcome that stands."""
    zone = ZoneInfo(cohort.program.time_zone)
    rows: list[list[Value]] = []
    for attempt in sorted(counting_attempts(cohort), key=lambda one: (one.student.full_name, one.opened_at)):
        local = attempt.opened_at.astimezone(zone)
        rows.append(
            [
                attempt.student.full_name,
                attempt.student.number,
                attempt.version.procedure.title,
                attempt.version.number,
                attempt.number,
                f"{local:%Y-%m-%d}",
                f"{local:%H:%M}",
                cohort.program.time_zone,
                attempt.place,
                attempt.state,
                attempt.standing_outcome or "",
                "; ".join(sheet.evaluator.signature for sheet in attempt.sheets.all()),
                attempt.sealed_at.isoformat(timespec="seconds") if attempt.sealed_at else "",
                attempt.standing_code or "",
                attempt.standing_kind or "",
            ]
        )
    return Table("Attempts", ATTEMPTS, rows)


STEPS = (
    "procedure", "list version", "step", "critical", "text", "missed", "of", "share", "Wilson low", "Wilson high",
    "remark",
)  # fmt: skip


def all_figures(cohort: Cohort, found: Matrix) -> list[Figures]:
    """Figures of each procedure of the table that was ever tried."""
    made = (figures(cohort, procedure, {}) for procedure in found.procedures)
    return [one for one in made if one.attempts]


def steps(found: Sequence[Figures]) -> Table:
    """Every step of every procedure tried; a figure of fewer than five observations is left out."""
    return Table("Steps missed", STEPS, [list(_step(one, line)) for one in found for line in one.steps])


def _step(one: Figures, line: StepFigure) -> Iterator[Value]:
    rate = line.rate
    kept = rate.computable and not rate.suppressed
    yield one.procedure.title
    yield ", ".join(str(number) for number in sorted(one.versions))
    yield line.step.number
    yield "critical" if line.step.critical else ""
    yield line.step.text
    yield rate.hits if kept else None
    yield rate.n if kept or not rate.n else None
    for share in (rate.share, rate.low, rate.high):
        yield round(share, 4) if kept and share is not None else None
    remarks = ["not computable: never observed" if not rate.n else TOO_FEW if rate.suppressed else ""]
    remarks.append("too few for a conclusion" if kept and rate.few else "")
    remarks.append("versions mixed" if one.mixed else "")
    yield "; ".join(filter(None, remarks))


RECORDS = (
    "file",
    "record",
    "student",
    "number",
    "procedure",
    "attempt",
    "kind",
    "outcome",
    "sealed",
    "SHA-256 of the PDF",
)


def record_line(leaf: RecordLeaf, file: str, digest: str) -> list[Value]:
    """A line of the index that goes with a zip of records."""
    attempt = leaf.attempt
    return [
        file, leaf.code, attempt.student.full_name, attempt.student.number, attempt.version.procedure.title,
        attempt.number, leaf.kind, leaf.outcome, leaf.sealed_at.isoformat(timespec="seconds"), digest,
    ]  # fmt: skip


def workbook_tables(cohort: Cohort) -> list[Table]:
    """All three, for a workbook."""
    found = matrix(cohort)
    return [people(found), attempts(cohort), steps(all_figures(cohort, found))]
