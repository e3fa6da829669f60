"""Reading the audit chain, and proving that nobody touched it."""

from __future__ import annotations

from django.db import models

from checkoffs.ledger.actions import START, entry_digest, entry_fields
from checkoffs.ledger.models import AuditEntry


def entries_about(subject: models.Model) -> models.QuerySet[AuditEntry]:
    """The entries of one row, oldest first."""
    return AuditEntry.objects.filter(
        subject_type=subject._meta.model_name or "", subject_id=str(subject.pk)
    ).select_related("by")


def first_broken_entry() -> AuditEntry | None:
    """Walk the chain; return the first entry whose digest or link does not hold, or None when all hold."""
    previous = START
    for entry in AuditEntry.objects.order_by("id").iterator(chunk_size=2000):
        if entry.previous != previous or entry.digest != entry_digest(previous, entry_fields(entry)):
            return entry
        previous = entry.digest
    return None
