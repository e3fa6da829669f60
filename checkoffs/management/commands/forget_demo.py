"""``manage.py forget_demo``: empties a database that holds the demo and nothing else."""

from __future__ import annotations

from typing import Any

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import connection

from checkoffs.ledger import triggers
from checkoffs.management.demo import college
from checkoffs.people.models import Program


class Command(BaseCommand):
    """Refuses when anything but the demo's program is there."""

    help = "Start over: remove everything of the demo."

    def handle(self, *args: Any, **options: Any) -> None:
        """Flush all tables, their triggers lifted, and forget the sign-ins."""
        if "checkoffs_program" in connection.introspection.table_names():
            names = set(Program.objects.values_list("name", flat=True))
            if names - {college.document()["program"]}:
                raise CommandError("This database holds more than the demo; nothing was removed.")
            with triggers.lifted(connection):
                call_command("flush", interactive=False, verbosity=0)
        college.SIGN_INS.unlink(missing_ok=True)
