"""Reading what a student sees afterwards: whose attempts, which tasks, the group's lane."""

from __future__ import annotations

import json
import uuid
from typing import Any

from django.core.cache import cache
from django.db.models import Exists, Max, OuterRef, Q, QuerySet, Subquery

from checkoffs.attempts.models import Attempt, Permit, Purpose, State
from checkoffs.attempts.queries import newest_versions
from checkoffs.attempts.ribbon import Lane
from checkoffs.people.models import Cohort, User
from checkoffs.people.permissions import Access, Act
from checkoffs.procedures.models import Procedure, ProcedureVersion
from checkoffs.records.models import LeafKind, RecordContent, RecordLeaf
from checkoffs.records.queries import with_standing
from checkoffs.review.lane import lane_of, section_ends
from checkoffs.review.models import Acknowledgement, OpenTask
from checkoffs.review.standing import Standing, standing

Json = dict[str, Any]
MOST_IN_LANE = 200  # the newest attempts of a version; more would not move a quartile


def attempts_seen_by(access: Access) -> QuerySet[Attempt]:
    """Attempts whose review this person may read: their own, and those of cohorts whose results they may see."""
    return (
        Attempt.objects.filter(Q(student=access.person) | Q(cohort__in=access.cohorts(Act.SEE_RESULTS).values("pk")))
        .select_related("student", "cohort__program", "version__procedure")
        .prefetch_related("sheets__evaluator")
    )


def own_leaves(access: Access) -> QuerySet[RecordLeaf]:
    """Documents of this person's own attempts: what they may acknowledge."""
    return RecordLeaf.objects.filter(attempt__student=access.person).select_related("attempt__cohort__program")


def receipt_of(leaf: RecordLeaf) -> Acknowledgement | None:
    """The student's receipt of a document, or None."""
    return Acknowledgement.objects.filter(leaf=leaf).first()


def receipts_of(attempt: Attempt) -> list[Acknowledgement]:
    """All receipts of an attempt's documents, oldest first."""
    return list(Acknowledgement.objects.filter(leaf__attempt=attempt).select_related("leaf").order_by("at"))


def not_followed_up() -> QuerySet[RecordLeaf]:
    """Leaves whose tasks and permit were not drawn yet, in the order of sealing."""
    return RecordLeaf.objects.filter(follow_up=None).order_by("index")


def last_counting(student_id: Any, procedure_id: Any) -> Attempt | None:
    """The newest sealed attempt that counts and stands, with ``standing_outcome``; None when there is none."""
    rows = with_standing(
        Attempt.objects.filter(
            student=student_id, version__procedure=procedure_id, purpose=Purpose.SUMMATIVE, state=State.SEALED
        )
    ).select_related("version", "cohort__program", "student")
    return next((row for row in rows.order_by("-number") if getattr(row, "standing_outcome", "") != "void"), None)


def open_tasks(student: User) -> QuerySet[OpenTask]:
    """A student's tasks that are not confirmed, the required ones first."""
    return (
        OpenTask.objects.filter(student=student, confirmed_by=None)
        .select_related("attempt__version__procedure")
        .defer("attempt__version__content")
        .order_by("-required", "attempt__opened_at", "pk")
    )


def tasks_of(attempt: Attempt) -> QuerySet[OpenTask]:
    """The tasks of one attempt, the required ones first."""
    return OpenTask.objects.filter(attempt=attempt).select_related("confirmed_by").order_by("-required", "pk")


def tasks_to_confirm(access: Access) -> QuerySet[OpenTask]:
    """Required tasks of students in this person's cohorts; nobody confirms their own."""
    return (
        OpenTask.objects.filter(attempt__cohort__in=access.cohorts(Act.CONFIRM_TASKS).values("pk"), required=True)
        .exclude(student=access.person)
        .select_related("student", "attempt__cohort__program", "attempt__version__procedure", "confirmed_by")
        .defer("attempt__version__content")
    )


def filtered_tasks(rows: QuerySet[OpenTask], wanted: Json) -> QuerySet[OpenTask]:
    """Rows narrowed by ``q`` (name or number), ``cohort`` and ``state``; left open, what is not confirmed yet."""
    state = wanted.get("state") or ""
    rows = rows.filter(confirmed_by__isnull=state != "confirmed")
    if state in ("done", "open"):
        rows = rows.filter(done_at__isnull=state == "open")
    if wanted.get("cohort"):
        rows = rows.filter(attempt__cohort=wanted["cohort"])
    if text := (wanted.get("q") or "").strip():
        rows = rows.filter(Q(student__full_name__icontains=text) | Q(student__number__iexact=text))
    return rows.order_by("-done_at", "student__full_name", "pk")


def cohorts_confirmed_by(access: Access) -> QuerySet[Cohort]:
    """Cohorts whose tasks this person confirms."""
    return access.cohorts(Act.CONFIRM_TASKS)


def my_procedures(access: Access) -> list[Standing]:
    """Each procedure of the student's programs, and each ever attempted, with where it stands."""
    student = access.person
    versions = list(newest_versions(access.programs(Act.OWN_RESULTS)))
    attempts = list(_own_attempts(student))
    permits = {permit.procedure_id: permit for permit in Permit.objects.filter(student=student)}
    tasks = list(open_tasks(student))
    procedures: dict[uuid.UUID, Procedure] = {version.procedure_id: version.procedure for version in versions}
    for attempt in attempts:
        procedures.setdefault(attempt.version.procedure_id, attempt.version.procedure)
    return [
        standing(
            procedure,
            [a for a in attempts if a.version.procedure_id == key],
            permits.get(key),
            [t for t in tasks if t.attempt.version.procedure_id == key],
        )
        for key, procedure in procedures.items()
    ]


def _own_attempts(student: User) -> QuerySet[Attempt]:
    # Twice outer: the leaf is looked up inside the acknowledgement, for the attempt around both.
    latest = RecordLeaf.objects.filter(attempt=OuterRef(OuterRef("pk"))).order_by("-index").values("pk")[:1]
    seen = Acknowledgement.objects.filter(leaf=Subquery(latest))
    rows = with_standing(Attempt.objects.filter(student=student)).annotate(seen=Exists(seen))
    return rows.select_related("version__procedure").defer("version__content").order_by("-number")


def lane_for(version: ProcedureVersion) -> Lane | None:
    """When the middle half of a version's counting attempts ended each section; None under ten of them.

    Kept until the next seal: reading two hundred snapshots is not for every page.
    """
    leaves = RecordLeaf.objects.filter(
        attempt__version=version, attempt__purpose=Purpose.SUMMATIVE, kind=LeafKind.RECORD
    )
    last = leaves.aggregate(last=Max("index"))["last"]
    name = f"review-lane:{version.pk}:{last}"
    found = cache.get(name)
    if found is None:
        found = (_lane(leaves),)
        cache.set(name, found, 24 * 60 * 60)
    lane: Lane | None = found[0]
    return lane


def _lane(leaves: QuerySet[RecordLeaf]) -> Lane | None:
    voided = RecordLeaf.objects.filter(attempt=OuterRef("leaf__attempt"), kind=LeafKind.VOID)
    contents = (
        RecordContent.objects.filter(leaf__in=leaves)
        .exclude(Exists(voided))
        .exclude(leaf__outcome="void")
        .order_by("-leaf__index")[:MOST_IN_LANE]
    )
    group = []
    for content in contents:
        document = json.loads(bytes(content.canonical))
        primary = [sheet for sheet in document["sheets"] if sheet["kind"] == "primary"]
        if primary:
            group.append(section_ends(primary[0]["state"], document["procedure"]["sections"]))
    return lane_of(group)
