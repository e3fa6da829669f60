"""Checkoff days with their stations and slots."""

from __future__ import annotations

from typing import ClassVar

from django.conf import settings
from django.db import models

from checkoffs.ledger.durability import Durability, Editable


class Day(models.Model):
    """One date on which a cohort is checked off."""

    durability: ClassVar[Durability] = Editable()

    cohort = models.ForeignKey("checkoffs.Cohort", on_delete=models.PROTECT, related_name="days")
    date = models.DateField()
    title = models.CharField(max_length=120)

    class Meta:
        ordering = ["-date"]

    def __str__(self) -> str:
        return f"{self.title}, {self.date}"


class Station(models.Model):
    """A place on a day where one evaluator sees one procedure."""

    durability: ClassVar[Durability] = Editable()

    day = models.ForeignKey(Day, on_delete=models.CASCADE, related_name="stations")
    name = models.CharField(max_length=80)
    procedure = models.ForeignKey("checkoffs.Procedure", on_delete=models.PROTECT, related_name="stations")
    evaluator = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="stations"
    )

    class Meta:
        ordering = ["name"]
        constraints = [models.UniqueConstraint(fields=["day", "name"], name="one_station_a_name")]

    def __str__(self) -> str:
        return self.name


class Slot(models.Model):
    """One student's time at a station; the attempt, once opened, says how it went."""

    durability: ClassVar[Durability] = Editable()

    station = models.ForeignKey(Station, on_delete=models.CASCADE, related_name="slots")
    student = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="slots")
    starts_at = models.DateTimeField()
    minutes = models.PositiveSmallIntegerField("length with the student's extra time", default=30)
    purpose = models.CharField(max_length=20, default="summative")
    arrived_at = models.DateTimeField(null=True, blank=True)
    attempt = models.OneToOneField(
        "checkoffs.Attempt", on_delete=models.PROTECT, null=True, blank=True, related_name="slot"
    )

    class Meta:
        ordering = ["starts_at"]
        constraints = [models.UniqueConstraint(fields=["station", "starts_at"], name="one_slot_a_time")]

    def __str__(self) -> str:
        return f"{self.student} at {self.starts_at}"
