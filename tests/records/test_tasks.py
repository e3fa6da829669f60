"""Background work: the PDF is set once, and what a killed worker left undone is found and ordered again."""

from __future__ import annotations

from datetime import timedelta
from io import StringIO
from typing import Any

import pytest
from django.core.management import call_command
from django.utils import timezone
from django_tasks import task_backends
from django_tasks_db.backend import DatabaseBackend
from django_tasks_db.models import DBTaskResult

from checkoffs.records import tasks
from checkoffs.records.models import RecordPdf
from tests.records import make
from tests.world import World


@pytest.fixture
def queue(settings: Any) -> Any:
    """Tasks wait in the database, as they do outside of tests."""
    settings.TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}
    assert isinstance(task_backends["default"], DatabaseBackend)
    return DBTaskResult.objects


def test_pdf_is_set_once(world: World) -> None:
    """Ordered twice, the first bytes stay."""
    leaf = make.sealed_infusion(world)
    assert tasks.set_pdf.call(str(leaf.pk)) == "set"
    first = RecordPdf.objects.get(leaf=leaf)
    assert tasks.set_pdf.call(str(leaf.pk)) == "nothing to do"
    assert RecordPdf.objects.get(leaf=leaf).digest == first.digest
    assert first.renderer.startswith("weasyprint 70")


def test_reaper_orders_what_a_killed_worker_left(world: World, queue: Any) -> None:
    """Running for too long: failed, and ordered again; waiting or fresh: left alone; set: nothing to do."""
    leaf = make.sealed_infusion(world)
    assert tasks.reap() == 1
    assert tasks.reap() == 0  # it waits already
    queue.update(status="RUNNING", started_at=timezone.now())
    assert tasks.reap() == 0  # a worker is at it
    assert tasks.reap(now=timezone.now() + tasks.LOST_AFTER + timedelta(seconds=1)) == 1
    assert sorted(queue.values_list("status", flat=True)) == ["FAILED", "READY"]
    tasks.set_pdf.call(str(leaf.pk))
    queue.update(status="SUCCESSFUL")
    assert tasks.reap() == 0


def test_reaper_as_a_command(world: World, queue: Any) -> None:
    """Says how many were ordered."""
    make.sealed_infusion(world)
    said = StringIO()
    call_command("reap_tasks", stdout=said)
    assert "1 PDFs ordered again" in said.getvalue()
    queue.update(status="RUNNING", started_at=timezone.now())
    call_command("reap_tasks", "--no-worker-runs", stdout=said)
    assert said.getvalue().count("1 PDFs ordered again") == 2
