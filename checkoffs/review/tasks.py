"""Background work of the review room."""

from __future__ import annotations

from django_tasks import task

from checkoffs.review import actions


@task
def catch_up() -> int:
    """Draw tasks and permits of what was sealed since; ordered after each seal (``settings.AFTER_SEAL``)."""
    return actions.catch_up()
