"""``manage.py demo``: loads the invented college once, and prints its sign-ins each time."""

from __future__ import annotations

import json
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from checkoffs.ledger.gate import writing
from checkoffs.management.demo import college, today
from checkoffs.management.demo.past import Past
from checkoffs.people.models import Program

SEED = 20260105


class Command(BaseCommand):
    """All or nothing: an interrupted load leaves no half college behind."""

    help = "Load the demo: an invented college with people, procedures, days, attempts and records."

    def handle(self, *args: Any, **options: Any) -> None:
        """Load when there is nothing yet; refuse beside real data; print who can sign in."""
        name = college.document()["program"]
        others = Program.objects.exclude(name=name)
        if others.exists():
            raise CommandError(
                f"The database already holds {others.first()}; the demo is not mixed with it. "
                "Set STEPWITNESS_DATA to an empty folder (and DATABASE_URL to an empty database)."
            )
        if not Program.objects.exists():
            self.stdout.write("Loading the invented college …")
            self._load()
        self._print()

    def _load(self) -> None:
        now = timezone.now()
        with writing():
            entered = college.enter(now)
            Past(entered, now, SEED).play()
            today.play(entered, now, SEED + 1)
            college.give_passwords(entered)

    def _print(self) -> None:
        if not college.SIGN_INS.exists():
            raise CommandError(f"The sign-ins are gone ({college.SIGN_INS}); `make demo FRESH=1` starts over.")
        rows = json.loads(college.SIGN_INS.read_text())
        self.stdout.write(f"\nAll people and places are invented. Address: {settings.ORIGIN}\n")
        width = max(len(row["username"]) for row in rows)
        for row in rows:
            self.stdout.write(f"  {row['role']:<14} {row['username']:<{width}}  {row['password']}")
        self.stdout.write("")
