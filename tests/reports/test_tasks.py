"""After each seal the settings' tasks run: marks are filled, tasks and permit are drawn, without any page."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.utils.module_loading import import_string

from checkoffs.attempts.models import Permit
from checkoffs.reports.models import StepMark
from checkoffs.reports.tasks import make_export
from checkoffs.review.models import OpenTask
from tests.reports import make
from tests.world import World


def test_the_settings_name_tasks_that_exist() -> None:
    assert {import_string(path).module_path for path in settings.AFTER_SEAL} == set(settings.AFTER_SEAL)


def test_a_seal_is_followed_without_a_page(
    world: World, django_capture_on_commit_callbacks: Any, monkeypatch: Any
) -> None:
    """Setting the PDF is another test's business."""
    monkeypatch.setattr("checkoffs.records.tasks.order_pdf", lambda leaf: None)
    with django_capture_on_commit_callbacks(execute=True):
        leaf = make.failed(world)
    assert StepMark.objects.filter(attempt=leaf.attempt).count() == 34
    assert OpenTask.objects.filter(attempt=leaf.attempt, required=True).count() == 2
    assert not Permit.objects.get(student=world.student).may


def test_an_export_that_is_gone_is_no_error(world: World) -> None:
    assert make_export.call("00000000-0000-4000-8000-000000000000") == "gone"
