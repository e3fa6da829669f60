"""Attempts, the sheets evaluators score, the events of a sheet, and permits."""

from __future__ import annotations

import uuid
from decimal import Decimal
from typing import ClassVar

from django.conf import settings
from django.db import models
from django.db.models import Q

from checkoffs.ledger.durability import Disposable, Durability, Editable, Frozen


class Purpose(models.TextChoices):
    """What an attempt counts for."""

    SUMMATIVE = "summative", "summative: counts"
    FORMATIVE = "formative", "formative: feedback only"
    PRACTICE = "practice", "practice"


class State(models.TextChoices):
    """Where an attempt stands between opening and seal."""

    OPEN = "open", "open"
    SIGNED = "signed", "signed"
    MODERATION = "moderation", "needs moderation"
    SEALED = "sealed", "sealed"


class Attempt(models.Model):
    """One student doing one procedure once, scored with one frozen version of it."""

    durability: ClassVar[Durability] = Frozen(since="sealed_at")

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    student = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="attempts")
    cohort = models.ForeignKey("checkoffs.Cohort", on_delete=models.PROTECT, related_name="attempts")
    version = models.ForeignKey("checkoffs.ProcedureVersion", on_delete=models.PROTECT, related_name="attempts")
    case = models.OneToOneField("checkoffs.DrawnCase", on_delete=models.PROTECT, null=True, related_name="attempt")
    purpose = models.CharField(max_length=20, choices=Purpose.choices, default=Purpose.SUMMATIVE)
    number = models.PositiveIntegerField()
    time_factor = models.DecimalField(max_digits=3, decimal_places=2, default=Decimal("1"))
    place = models.CharField(max_length=80, blank=True)
    opened_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    opened_at = models.DateTimeField()
    no_show = models.BooleanField(default=False)
    state = models.CharField(max_length=20, choices=State.choices, default=State.OPEN)
    outcome = models.CharField(max_length=20, blank=True)
    sealed_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["-opened_at"]
        indexes = [
            models.Index(fields=["cohort", "state"], name="attempt_cohort_state"),
            models.Index(fields=["student", "-opened_at"], name="attempt_student"),
        ]

    def __str__(self) -> str:
        return f"attempt {self.number} of {self.student} at {self.version}"


class SheetKind(models.TextChoices):
    """Whose view of an attempt a sheet is."""

    PRIMARY = "primary", "primary"
    SECOND = "second", "second, scored blind"
    MODERATION = "moderation", "moderation"


class Sheet(models.Model):
    """What one evaluator saw. One holder, one device at a time; the events are its only content."""

    durability: ClassVar[Durability] = Frozen(since="signed_at", apart_from=("stored", "late"))

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    attempt = models.ForeignKey(Attempt, on_delete=models.PROTECT, related_name="sheets")
    kind = models.CharField(max_length=20, choices=SheetKind.choices, default=SheetKind.PRIMARY)
    evaluator = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="sheets")
    device = models.UUIDField(null=True)
    opened_at = models.DateTimeField()
    stored = models.PositiveIntegerField("events stored; the sheet's version in the sync protocol", default=0)
    late = models.PositiveIntegerField("events that came after the signature", default=0)
    outcome_seen_at = models.DateTimeField(null=True)
    shown = models.CharField(max_length=20, blank=True)
    shown_at = models.DateTimeField(null=True)
    statement = models.TextField(blank=True)
    signed_at = models.DateTimeField(null=True)
    signed_how = models.CharField(max_length=20, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["attempt"], condition=Q(kind="primary"), name="one_primary_sheet_an_attempt"
            ),
            models.UniqueConstraint(fields=["attempt", "evaluator"], name="one_sheet_an_evaluator"),
        ]

    def __str__(self) -> str:
        return f"{self.kind} sheet of {self.attempt_id}"


class Event(models.Model):
    """One thing seen or done, as sent by a device (scoring/events.py has the kinds); never changed."""

    durability: ClassVar[Durability] = Disposable()

    id = models.UUIDField(primary_key=True, editable=False)  # UUIDv7, made on the device
    sheet = models.ForeignKey(Sheet, on_delete=models.PROTECT, related_name="events")
    by = models.UUIDField()  # User.opaque of the person who tapped
    device = models.UUIDField()
    seq = models.PositiveIntegerField()
    at_ms = models.PositiveBigIntegerField(null=True)
    wall = models.CharField(max_length=40)
    kind = models.CharField(max_length=24)
    payload = models.JSONField(default=dict)
    source = models.CharField(max_length=10, default="tablet")
    digest = models.CharField(max_length=64)
    entered_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+")
    received_at = models.DateTimeField()
    late = models.BooleanField(default=False)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["device", "seq"], name="one_event_a_device_and_seq")]

    def __str__(self) -> str:
        return f"{self.kind} {self.id}"


class Permit(models.Model):
    """Whether a student may attempt a procedure again, from when, and what stands in the way.

    Owned here so that opening an attempt can obey it; written by the review room.
    """

    durability: ClassVar[Durability] = Editable()

    student = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="permits")
    procedure = models.ForeignKey("checkoffs.Procedure", on_delete=models.PROTECT, related_name="permits")
    may = models.BooleanField(default=True)
    not_before = models.DateField(null=True, blank=True)
    because = models.CharField(max_length=300, blank=True)
    updated_at = models.DateTimeField(auto_now=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["student", "procedure"], name="one_permit_a_procedure")]

    def __str__(self) -> str:
        return f"{self.student}: {'may' if self.may else 'may not'} attempt {self.procedure}"
