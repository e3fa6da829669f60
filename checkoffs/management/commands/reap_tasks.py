"""``manage.py reap_tasks``: order again the PDFs that a killed worker left undone."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand

from checkoffs.records.tasks import reap


class Command(BaseCommand):
    """Finds lost work and orders it again."""

    help = "Order again every PDF of a sealed record that no worker is setting any more."

    def handle(self, *args: Any, **options: Any) -> None:
        """Say how many were ordered."""
        self.stdout.write(f"{reap()} PDFs ordered again.")
