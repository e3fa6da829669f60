"""Background work of the records room: setting a PDF once, and finding the ones that a killed worker left undone."""

from __future__ import annotations

import hashlib
import logging
from datetime import datetime, timedelta

from django.conf import settings
from django.db import IntegrityError
from django.urls import reverse
from django.utils import timezone
from django.utils.module_loading import import_string
from django_tasks import task
from django_tasks.base import TaskResultStatus
from django_tasks_db.models import DBTaskResult

from checkoffs.ledger.gate import writing
from checkoffs.records import queries
from checkoffs.records.heads import head_over_all, place_of
from checkoffs.records.keys import paper_key
from checkoffs.records.models import RecordLeaf, RecordPdf
from checkoffs.records.pdf import render
from checkoffs.records.pdf_signature import sign_pdf

log = logging.getLogger(__name__)
LOST_AFTER = timedelta(minutes=5)  # setting a record takes about a second; whoever runs longer was killed


@task
def set_pdf(leaf_id: str) -> str:
    """Set the PDF of one leaf and keep it; done twice, the first one stays. Answers what happened."""
    leaf = RecordLeaf.objects.filter(pk=leaf_id).select_related("content").first()
    if leaf is None or RecordPdf.objects.filter(leaf=leaf).exists():
        return "nothing to do"
    snapshot = queries.snapshot_of(leaf)
    if snapshot is None:
        return "disposed"
    head = head_over_all()
    verify_at = settings.ORIGIN + reverse("records:verify")
    made = render(snapshot, leaf.digest, verify_at=verify_at, place=place_of(leaf, head))
    data = sign_pdf(made.data, paper_key())
    if made.refused:
        log.error("record %s asked for %d things that are not on the list", leaf.code, len(made.refused))
    try:
        with writing():
            RecordPdf.objects.create(
                leaf=leaf,
                data=data,
                digest=hashlib.sha256(data).hexdigest(),
                renderer=made.renderer,
                pages=made.pages,
                rendered_at=timezone.now(),
                head=head,
                verify_at=verify_at,
                unsigned_digest=made.digest,
                unsigned_size=len(made.data),
            )
    except IntegrityError:
        return "set by another worker"
    return "set"


def order_pdf(leaf: RecordLeaf) -> None:
    """Ask for the PDF of a leaf."""
    set_pdf.enqueue(str(leaf.pk))


def order_what_follows() -> None:
    """Ask the rooms above to draw what follows from a seal; the settings name their tasks."""
    for path in settings.AFTER_SEAL:
        import_string(path).enqueue()


def reap(*, now: datetime | None = None, no_worker_runs: bool = False) -> int:
    """Order every PDF again that nobody is setting any more; run before a worker starts and now and then.

    ``no_worker_runs``: the caller knows that no worker is up, so that every running task is a lost one.

    The task library has no such thing: a task whose worker was killed stays *running* for ever. Answers how many PDFs
    were ordered.
    """
    before = (now or timezone.now()) - (timedelta(0) if no_worker_runs else LOST_AFTER)
    lost = DBTaskResult.objects.filter(
        task_path=set_pdf.module_path, status=TaskResultStatus.RUNNING, started_at__lt=before
    )
    lost.update(status=TaskResultStatus.FAILED, finished_at=timezone.now())
    waiting = DBTaskResult.objects.filter(
        task_path=set_pdf.module_path, status__in=[TaskResultStatus.READY, TaskResultStatus.RUNNING]
    )
    asked = {arguments["args"][0] for arguments in waiting.values_list("args_kwargs", flat=True)}
    missing = RecordLeaf.objects.filter(pdf=None, content__isnull=False).exclude(pk__in=asked)
    leaves = list(missing)
    for leaf in leaves:
        order_pdf(leaf)
    return len(leaves)
