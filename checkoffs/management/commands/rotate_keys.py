"""``manage.py rotate_keys``: new signing keys for tree heads and PDFs; what was signed keeps verifying."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand

from checkoffs.records import heads, keys


class Command(BaseCommand):
    """Signs what there is with the old key, changes keys, and signs the same again with the new one."""

    help = "Make new signing keys; the private halves of the old ones are destroyed, the public ones kept."

    def handle(self, *args: Any, **options: Any) -> None:
        """Both heads cover the same leaves, so that the change of keys itself is witnessed by either."""
        heads.head_over_all()
        keys.rotate()
        head = heads.head_over_all()
        self.stdout.write(f"Tree heads are signed with key {head.key} from now on.")
        self.stdout.write(f"Hand out the public keys anew: {settings.KEYS_DIR / 'public'}")
