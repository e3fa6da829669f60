"""Reading for reports: which cohorts, which figures, which exports."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Count, Exists, OuterRef, Q, QuerySet
from django.utils import timezone

from checkoffs.attempts.models import Attempt, Purpose, SheetKind, State
from checkoffs.people.models import Cohort, Role
from checkoffs.people.permissions import Access, Act
from checkoffs.people.queries import in_force
from checkoffs.procedures.models import Procedure, ProcedureVersion
from checkoffs.records.models import LeafKind, RecordLeaf
from checkoffs.records.queries import with_standing
from checkoffs.reports.models import Export, StepMark
from checkoffs.reports.statistics.misses import Step, StepFigure, miss_figures
from checkoffs.reports.statistics.passing import Passing, Tried, passing
from checkoffs.review.models import OpenTask

Json = dict[str, Any]
KEPT = timedelta(days=7)  # an export can be had again at any time; old ones only hold personal data
STALLED = timedelta(minutes=10)


def cohorts_seen(access: Access) -> QuerySet[Cohort]:
    """Cohorts whose results this person may see, with how many students and attempts they have."""
    students = Q(memberships__role=Role.STUDENT) & in_force(timezone.localdate(), prefix="memberships__")
    counting = Q(attempts__purpose=Purpose.SUMMATIVE)
    return (
        access.cohorts(Act.SEE_RESULTS)
        .order_by("-starts", "name")
        .annotate(
            students=Count("memberships__person", filter=students, distinct=True),
            sealed=Count("attempts", filter=counting & Q(attempts__state=State.SEALED), distinct=True),
            unsealed=Count("attempts", filter=counting & ~Q(attempts__state=State.SEALED), distinct=True),
            moderation=Count("attempts", filter=counting & Q(attempts__state=State.MODERATION), distinct=True),
        )
    )


def exports_seen(access: Access) -> QuerySet[Export]:
    """Exports of cohorts this person may export, without their bytes; old ones are gone."""
    return (
        Export.objects.filter(cohort__in=access.cohorts(Act.EXPORT).values("pk"), asked_at__gte=timezone.now() - KEPT)
        .select_related("cohort__program", "asked_by")
        .defer("data")
    )


def stalled(export: Export) -> bool:
    """Whether a worker was killed over it: no progress for ten minutes."""
    last = export.progress_at or export.asked_at
    return export.state in ("waiting", "running") and timezone.now() - last > STALLED


def outstanding_tasks(cohort: Cohort) -> dict[str, int]:
    """How many required tasks wait for the student (``tasks_open``) and for a confirmation (``tasks_done``)."""
    waiting = OpenTask.objects.filter(attempt__cohort=cohort, required=True, confirmed_by=None)
    return waiting.aggregate(
        tasks_open=Count("pk", filter=Q(done_at=None)), tasks_done=Count("pk", filter=Q(done_at__isnull=False))
    )


def procedures_of(cohort: Cohort) -> QuerySet[Procedure]:
    """Procedures of the cohort's program."""
    return Procedure.objects.filter(program=cohort.program_id).order_by("title")


@dataclass(frozen=True)
class Figures:
    """Figures of one procedure in one cohort, and what they stand on."""

    procedure: Procedure
    versions: tuple[int, ...]
    shown: int | None
    steps: tuple[StepFigure, ...]
    passing: Passing
    attempts: int
    first: datetime | None
    last: datetime | None

    @property
    def mixed(self) -> bool:
        """Whether marks of several versions are counted together."""
        return self.shown is None and len(self.versions) > 1


def figures(cohort: Cohort, procedure: Procedure, wanted: Json) -> Figures:
    """wanted: version (number or None for all), first_only, since (date or None); all of them may be left out."""
    rows = sealed_attempts(cohort, procedure, wanted)
    versions = versions_used(cohort, procedure)
    found = list(with_standing(rows).only("student", "number", "opened_at").order_by("number"))
    counted = _first_of_each(found) if wanted.get("first_only") else found
    marks = StepMark.objects.filter(attempt__in=[row.pk for row in counted], sheet__kind=SheetKind.PRIMARY)
    version = wanted.get("version")
    newest = _list_shown(procedure, version, versions)
    return Figures(
        procedure=procedure,
        versions=versions,
        shown=version,
        steps=tuple(miss_figures(steps_of(newest), marks.values_list("step", "missed"))) if newest else (),
        passing=passing(Tried(row.student_id, row.number, _passed(row)) for row in found),
        attempts=len(counted),
        first=min((row.opened_at for row in counted), default=None),
        last=max((row.opened_at for row in counted), default=None),
    )


def versions_used(cohort: Cohort, procedure: Procedure) -> tuple[int, ...]:
    """Numbers of the versions with attempts that count, newest first."""
    numbers = sealed_attempts(cohort, procedure, {}).values_list("version__number", flat=True)
    return tuple(sorted(set(numbers), reverse=True))


def sealed_attempts(cohort: Cohort, procedure: Procedure, wanted: Json) -> QuerySet[Attempt]:
    """Sealed attempts that count and were not declared void."""
    voided = RecordLeaf.objects.filter(attempt=OuterRef("pk"), kind=LeafKind.VOID)
    rows = Attempt.objects.filter(
        cohort=cohort, version__procedure=procedure, purpose=Purpose.SUMMATIVE, state=State.SEALED
    )
    rows = rows.exclude(outcome="void").exclude(Exists(voided))
    if wanted.get("version"):
        rows = rows.filter(version__number=wanted["version"])
    if wanted.get("since"):
        start = datetime.combine(wanted["since"], time.min, tzinfo=ZoneInfo(cohort.program.time_zone))
        rows = rows.filter(opened_at__gte=start)
    return rows


def _passed(attempt: Attempt) -> bool:
    return getattr(attempt, "standing_outcome", None) == "satisfactory"


def _first_of_each(rows: list[Attempt]) -> list[Attempt]:
    """The first counting attempt of each student; rows by number."""
    seen: dict[int, Attempt] = {}
    for row in rows:
        seen.setdefault(row.student_id, row)
    return list(seen.values())


def _list_shown(procedure: Procedure, number: int | None, used: tuple[int, ...]) -> ProcedureVersion | None:
    """The version whose list is printed: the one asked for, else the newest that was used, else the newest."""
    rows = ProcedureVersion.objects.filter(procedure=procedure)
    wanted = number or (used[0] if used else None)
    return rows.filter(number=wanted).first() if wanted else rows.order_by("-number").first()


def steps_of(version: ProcedureVersion) -> list[Step]:
    """The steps of a version, numbered through."""
    listed = [step for section in version.content["sections"] for step in section["steps"]]
    return [
        Step(step["id"], number, step["text"], bool(step["critical"])) for number, step in enumerate(listed, start=1)
    ]
