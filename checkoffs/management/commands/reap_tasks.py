"""``manage.py reap_tasks``: order again the PDFs that a killed worker left undone."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from checkoffs.records.tasks import reap


class Command(BaseCommand):
    """Finds lost work and orders it again."""

    help = "Order again every PDF of a sealed record that no worker is setting any more."

    def add_arguments(self, parser: CommandParser) -> None:
        """``--no-worker-runs`` when this stands before the start of the only worker."""
        parser.add_argument("--no-worker-runs", action="store_true", help="every running task is a lost one")

    def handle(self, *args: Any, **options: Any) -> None:
        """Say how many were ordered."""
        self.stdout.write(f"{reap(no_worker_runs=options['no_worker_runs'])} PDFs ordered again.")
