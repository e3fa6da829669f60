"""Background work of the reports room: marks after each seal, and exports."""

from __future__ import annotations

from django_tasks import task

from checkoffs.reports import exporting, filling


@task
def catch_up() -> int:
    """Fill the marks of what was sealed since; ordered after each seal (``settings.AFTER_SEAL``)."""
    return filling.catch_up()


@task
def make_export(export_id: str) -> str:
    """Make one export; answers its state afterwards."""
    return exporting.make(export_id)
