"""Asking for exports and taking them along; each leaves an audit entry, for it discloses records."""

from __future__ import annotations

from django.db import transaction
from django.utils import timezone

from checkoffs.ledger.actions import action, audit
from checkoffs.people.models import Cohort, User
from checkoffs.people.permissions import Access, Act
from checkoffs.reports import filling
from checkoffs.reports.errors import ReportError
from checkoffs.reports.exporting import KINDS
from checkoffs.reports.models import Export
from checkoffs.reports.queries import KEPT
from checkoffs.reports.tasks import make_export

catch_up = filling.catch_up  # fill the marks of what was sealed since; idempotent


@action
def ask(*, by: User, cohort: Cohort, kind: str) -> Export:
    """Ask for an export; it is made in the background. Raises ReportError: ``may_not``, ``unknown``."""
    if not Access.of(by).may(Act.EXPORT, cohort=cohort):
        raise ReportError("may_not", f"{by} may not export {cohort}.")
    if kind not in KINDS:
        raise ReportError("unknown", "There is no such export.")
    Export.objects.filter(cohort=cohort, asked_at__lt=timezone.now() - KEPT).delete()
    export = Export.objects.create(kind=kind, cohort=cohort, asked_by=by)
    audit(
        by=by, act="export.asked", subject=export, program=cohort.program, detail={"kind": kind, "cohort": cohort.pk}
    )
    transaction.on_commit(lambda: make_export.enqueue(str(export.pk)))
    return export


@action
def take(*, by: User, export: Export) -> bytes:
    """The bytes of a ready export, with an entry that says who took them. Raises ReportError: ``not_ready``."""
    data = Export.objects.values_list("data", flat=True).get(pk=export.pk)
    if export.state != "ready" or data is None:
        raise ReportError("not_ready", "This export is not ready.")
    detail = {"kind": export.kind, "cohort": export.cohort_id, "file": export.filename}
    audit(by=by, act="export.taken", subject=export, program=export.cohort.program, detail=detail)
    return bytes(data)
