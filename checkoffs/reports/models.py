"""Exports made in the background, and the derived table of marks that figures are read from."""

from __future__ import annotations

import uuid
from typing import ClassVar

from django.conf import settings
from django.db import models

from checkoffs.ledger.durability import Derived, Durability, Editable


class Export(models.Model):
    """One file asked for: its kind, how far it is, and the bytes once made."""

    durability: ClassVar[Durability] = Editable()

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    kind = models.CharField(max_length=20)
    cohort = models.ForeignKey("checkoffs.Cohort", on_delete=models.PROTECT, related_name="exports")
    asked_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="exports")
    asked_at = models.DateTimeField(auto_now_add=True)
    progress_at = models.DateTimeField(null=True)
    state = models.CharField(max_length=20, default="waiting")
    done = models.PositiveIntegerField(default=0)
    total = models.PositiveIntegerField(default=0)
    filename = models.CharField(max_length=120, blank=True)
    content_type = models.CharField(max_length=80, blank=True)
    data = models.BinaryField(null=True)
    problem = models.TextField(blank=True)

    class Meta:
        ordering = ["-asked_at"]

    def __str__(self) -> str:
        return f"{self.kind} export of {self.cohort}"


class StepMark(models.Model):
    """One step of one sealed attempt as figures need it; filled after each seal, rebuilt by ``manage.py rebuild``."""

    durability: ClassVar[Durability] = Derived()

    attempt = models.ForeignKey("checkoffs.Attempt", on_delete=models.CASCADE, related_name="step_marks")
    sheet = models.ForeignKey("checkoffs.Sheet", on_delete=models.CASCADE, related_name="step_marks")
    version = models.ForeignKey("checkoffs.ProcedureVersion", on_delete=models.CASCADE, related_name="step_marks")
    step = models.CharField(max_length=40)
    number = models.PositiveIntegerField()
    critical = models.BooleanField()
    mark = models.CharField(max_length=20)
    at_ms = models.PositiveBigIntegerField(null=True)
    caught_up = models.BooleanField(default=False)
    missed = models.BooleanField("missed by the rule; empty when it cannot be told or did not apply", null=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["sheet", "step"], name="one_mark_a_step_and_sheet")]

    def __str__(self) -> str:
        return f"{self.step}: {self.mark}"
