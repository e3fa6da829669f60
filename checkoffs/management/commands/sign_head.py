"""``manage.py sign_head``: the newest signed tree head as JSON, to be kept outside of this installation."""

from __future__ import annotations

import json
from typing import Any

from django.core.management.base import BaseCommand

from checkoffs.records import heads


class Command(BaseCommand):
    """Once a day from a timer and sent elsewhere, it bounds what a dishonest owner could rewrite unseen."""

    help = "Sign a tree head over all records and the audit trail, and write it with the public keys."

    def handle(self, *args: Any, **options: Any) -> None:
        """Makes no new head when nothing was sealed since the last one."""
        heads.head_over_all()
        self.stdout.write(json.dumps(heads.handed_out(), indent=1))
