"""The audit chain and the list of disposals."""

from __future__ import annotations

import uuid
from typing import ClassVar

from django.conf import settings
from django.db import models

from checkoffs.ledger.durability import Appendable, Durability


class AuditEntry(models.Model):
    """Who did what to which row, when; each entry carries the digest of the one before it."""

    durability: ClassVar[Durability] = Appendable()

    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+")
    act = models.CharField(max_length=80, db_index=True)
    program = models.ForeignKey("checkoffs.Program", on_delete=models.PROTECT, null=True, related_name="+")
    subject_type = models.CharField(max_length=40)
    subject_id = models.CharField(max_length=64)
    detail = models.JSONField(default=dict)
    previous = models.CharField(max_length=64)
    digest = models.CharField(max_length=64, unique=True)

    class Meta:
        ordering = ["id"]
        indexes = [models.Index(fields=["subject_type", "subject_id"], name="audit_subject")]

    def __str__(self) -> str:
        return f"{self.act} {self.subject_type}:{self.subject_id}"


class Disposal(models.Model):
    """Permission to remove one row of a disposable table, given once, with its reason."""

    durability: ClassVar[Durability] = Appendable()

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    table = models.CharField(max_length=80)
    row = models.CharField(max_length=64)
    why = models.TextField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["table", "row"], name="one_disposal_a_row")]

    def __str__(self) -> str:
        return f"disposal of {self.table} {self.row}"
