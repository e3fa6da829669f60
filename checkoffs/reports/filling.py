"""Fills the derived marks from the snapshots; done twice it changes nothing."""

from __future__ import annotations

from django.db.models import QuerySet

from checkoffs.ledger.gate import writing
from checkoffs.records.models import LeafKind, RecordLeaf
from checkoffs.records.queries import snapshot_of
from checkoffs.reports.marks import marks_of
from checkoffs.reports.models import StepMark


def not_filled() -> QuerySet[RecordLeaf]:
    """First documents of attempts with sheets whose marks are not filled yet.

    An amendment changes what stands, never what was seen: the first document has all the marks.
    """
    return RecordLeaf.objects.filter(
        kind=LeafKind.RECORD, attempt__no_show=False, attempt__step_marks=None, content__isnull=False
    )


def catch_up() -> int:
    """Fill what is missing, an attempt a transaction. Answers how many attempts."""
    return _fill()


def rebuild() -> int:
    """Throw all marks away and fill them again from the snapshots. Answers how many attempts."""
    with writing():
        StepMark.objects.all().delete()
        return _fill()


def _fill() -> int:
    waiting = list(not_filled().values_list("pk", flat=True))  # listed first: filling changes what is not filled
    rows = RecordLeaf.objects.select_related("attempt", "content")
    return sum(fill(rows.get(pk=key)) for key in waiting)


def fill(leaf: RecordLeaf) -> int:
    """The marks of one attempt; 0 where its content was disposed of or another worker was first."""
    snapshot = snapshot_of(leaf)
    if snapshot is None:
        return 0
    rows = [
        StepMark(
            attempt_id=leaf.attempt_id,
            sheet_id=line.sheet,
            version_id=leaf.attempt.version_id,
            step=line.step,
            number=line.number,
            critical=line.critical,
            mark=line.mark,
            at_ms=line.at_ms,
            caught_up=line.caught_up,
            missed=line.missed,
        )
        for line in marks_of(snapshot)
    ]
    with writing():
        StepMark.objects.bulk_create(rows, ignore_conflicts=True)
    return 1 if rows else 0
