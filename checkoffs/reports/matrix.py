"""A cohort as a table of people and procedures, with what is outstanding. A constant number of queries."""

from __future__ import annotations

import uuid
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Prefetch
from django.utils import timezone

from checkoffs.attempts.models import Attempt, Purpose, Sheet, SheetKind
from checkoffs.attempts.queries import newest_versions
from checkoffs.days.models import Slot
from checkoffs.people.models import Cohort, Membership, Program, Role, User
from checkoffs.people.queries import in_force, today_in
from checkoffs.procedures.models import Procedure
from checkoffs.records.queries import with_standing
from checkoffs.reports.cells import STATES, Cell, cell
from checkoffs.reports.models import StepMark

Key = tuple[int, uuid.UUID]


@dataclass(frozen=True)
class Row:
    """One student with a cell for each procedure, in the procedures' order."""

    student: User
    cells: tuple[Cell, ...]

    @property
    def seen(self) -> int:
        """In how many procedures the student is competent."""
        return sum(one.code == "seen" for one in self.cells)

    @property
    def last_first(self) -> str:
        """The family name first, as lists are read: ``Adeyemi, Marit``."""
        given, _, family = self.student.full_name.rpartition(" ")
        return f"{family}, {given}" if given else family


@dataclass(frozen=True)
class Matrix:
    """procedures: the columns; rows by name; at: the moment it was read."""

    cohort: Cohort
    procedures: tuple[Procedure, ...]
    rows: tuple[Row, ...]
    at: datetime

    @property
    def total(self) -> int:
        """How many cells."""
        return len(self.rows) * len(self.procedures)

    def count(self, code: str, place: int | None = None) -> int:
        """How many cells have a state, in all columns or in one."""
        return sum(
            one.code == code for row in self.rows for n, one in enumerate(row.cells) if place is None or n == place
        )

    def counts(self, place: int | None = None) -> Mapping[str, int]:
        """Counts by state, every state named."""
        counter = Counter(
            one.code for row in self.rows for n, one in enumerate(row.cells) if place is None or n == place
        )
        return {code: counter[code] for code in STATES}

    @property
    def unbooked(self) -> int:
        """Retakes nobody has booked a time for."""
        return sum(one.code == "retake" and one.booked is None for row in self.rows for one in row.cells)


def matrix(cohort: Cohort, *, text: str = "", state: str = "", former: bool = False) -> Matrix:
    """The table of a cohort. text: part of a name or a number; state: rows with such a cell; former: past members."""
    students = _students(cohort, text, former)
    attempts = list(counting_attempts(cohort))
    procedures = _procedures(cohort, attempts)
    tried: dict[Key, list[Attempt]] = defaultdict(list)
    for attempt in attempts:
        tried[attempt.student_id, attempt.version.procedure_id].append(attempt)
    slots = _booked(cohort)
    missed = _critical_misses(attempts)
    rows = (
        Row(
            student,
            tuple(cell(tried[student.pk, one.pk], slots.get((student.pk, one.pk)), missed) for one in procedures),
        )
        for student in students
    )
    shown = [row for row in rows if not state or any(one.code == state for one in row.cells)]
    return Matrix(cohort, procedures, tuple(sorted(shown, key=lambda row: row.last_first)), timezone.now())


def _students(cohort: Cohort, text: str, former: bool) -> list[User]:
    held = Membership.objects.filter(cohort=cohort, role=Role.STUDENT)
    if not former:
        held = held.filter(in_force(today_in(cohort.program)))
    people = User.objects.filter(pk__in=held.values("person"))
    if text:
        people = people.filter(full_name__icontains=text) | people.filter(number__iexact=text)
    return list(people)


def counting_attempts(cohort: Cohort) -> Any:
    """A cohort's summative attempts, newest first, with standing outcome and the people who scored them."""
    sheets = Sheet.objects.exclude(kind=SheetKind.MODERATION).select_related("evaluator").order_by("opened_at")
    rows = with_standing(Attempt.objects.filter(cohort=cohort, purpose=Purpose.SUMMATIVE))
    return (
        rows.select_related("student", "version__procedure")
        .defer("version__content")
        .prefetch_related(Prefetch("sheets", queryset=sheets))
        .order_by("-number", "-opened_at")
    )


def _procedures(cohort: Cohort, attempts: Iterable[Attempt]) -> tuple[Procedure, ...]:
    """Procedures in use, and those ever attempted in this cohort."""
    found = {v.procedure_id: v.procedure for v in newest_versions(Program.objects.filter(pk=cohort.program_id))}
    for attempt in attempts:
        found.setdefault(attempt.version.procedure_id, attempt.version.procedure)
    return tuple(sorted(found.values(), key=lambda procedure: (procedure.title, str(procedure.pk))))


def _booked(cohort: Cohort) -> dict[Key, datetime]:
    """The next slot of each student at each procedure."""
    slots = Slot.objects.filter(
        station__day__cohort=cohort, attempt=None, purpose=Purpose.SUMMATIVE, starts_at__gte=timezone.now()
    )
    found: dict[Key, datetime] = {}
    for student, procedure, at in slots.order_by("starts_at").values_list(
        "student", "station__procedure", "starts_at"
    ):
        found.setdefault((student, procedure), at)
    return found


def _critical_misses(attempts: Iterable[Attempt]) -> dict[Any, list[int]]:
    failed = [a.pk for a in attempts if getattr(a, "standing_outcome", None) == "unsatisfactory"]
    marks = StepMark.objects.filter(attempt__in=failed, sheet__kind=SheetKind.PRIMARY, missed=True, critical=True)
    found: dict[Any, list[int]] = defaultdict(list)
    for attempt, number in marks.order_by("number").values_list("attempt", "number"):
        found[attempt].append(number)
    return found
