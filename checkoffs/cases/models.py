"""Case templates, and the cases drawn from them for one attempt each."""

from __future__ import annotations

import uuid
from typing import ClassVar

from django.conf import settings
from django.db import models

from checkoffs.ledger.durability import Durability, Editable, Frozen


class CaseTemplate(models.Model):
    """An order with numbers that are fixed or drawn from a set; belongs to the procedure it is asked in."""

    durability: ClassVar[Durability] = Editable()

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    procedure = models.ForeignKey("checkoffs.Procedure", on_delete=models.PROTECT, related_name="case_templates")
    title = models.CharField(max_length=200)
    content = models.JSONField()
    revision = models.PositiveIntegerField(default=1)
    updated_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    updated_at = models.DateTimeField(auto_now=True)
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["title"]

    def __str__(self) -> str:
        return self.title


class DrawnCase(models.Model):
    """One case with its numbers and answer key, frozen when the attempt is opened."""

    durability: ClassVar[Durability] = Frozen()

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    template = models.ForeignKey(CaseTemplate, on_delete=models.PROTECT, related_name="drawn")
    template_revision = models.PositiveIntegerField()
    seed = models.BigIntegerField()
    content = models.JSONField()  # the order as the student reads it, and the values drawn, as decimal strings
    answer_key = models.JSONField()
    calculators = models.CharField(max_length=20)
    drawn_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.template}, seed {self.seed}"
