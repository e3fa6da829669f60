"""``manage.py rebuild``: make the derived tables anew from the sealed records, and draw what was not drawn yet."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand

from checkoffs.reports import filling
from checkoffs.review.actions import catch_up


class Command(BaseCommand):
    """Rebuilds figures; draws missing tasks and permits."""

    help = "Rebuild the marks that figures are read from, and draw the tasks and permits that are missing."

    def handle(self, *args: Any, **options: Any) -> None:
        """Say how many attempts and how many documents."""
        self.stdout.write(f"{filling.rebuild()} attempts filled; {catch_up()} documents followed up.")
