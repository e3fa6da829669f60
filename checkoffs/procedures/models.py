"""Procedures, the draft being written, and the versions that never change."""

from __future__ import annotations

import uuid
from typing import ClassVar

from django.conf import settings
from django.db import models

from checkoffs.ledger.durability import Durability, Editable, Frozen


class Procedure(models.Model):
    """One skill of a program; its words live in the draft and in the versions."""

    durability: ClassVar[Durability] = Editable()

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    program = models.ForeignKey("checkoffs.Program", on_delete=models.PROTECT, related_name="procedures")
    title = models.CharField(max_length=200)
    created_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    created_at = models.DateTimeField(auto_now_add=True)
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["title"]

    def __str__(self) -> str:
        return self.title


class ProcedureDraft(models.Model):
    """The next version while it is being written; ``revision`` counts up so that no colleague's change is lost."""

    durability: ClassVar[Durability] = Editable()

    procedure = models.OneToOneField(Procedure, on_delete=models.CASCADE, related_name="draft")
    content = models.JSONField()
    revision = models.PositiveIntegerField(default=1)
    updated_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    updated_at = models.DateTimeField(auto_now=True)

    def __str__(self) -> str:
        return f"draft of {self.procedure}"


class ProcedureVersion(models.Model):
    """A published version: steps and rule as one document, frozen from its first moment."""

    durability: ClassVar[Durability] = Frozen()

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    procedure = models.ForeignKey(Procedure, on_delete=models.PROTECT, related_name="versions")
    number = models.PositiveIntegerField()
    content = models.JSONField()
    digest = models.CharField(max_length=64)
    published_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    published_at = models.DateTimeField()

    class Meta:
        ordering = ["procedure", "-number"]
        constraints = [models.UniqueConstraint(fields=["procedure", "number"], name="one_version_a_number")]

    def __str__(self) -> str:
        return f"{self.procedure}, version {self.number}"
