"""What a student acknowledges, and what is open for them before the next attempt."""

from __future__ import annotations

from typing import ClassVar

from django.conf import settings
from django.db import models

from checkoffs.ledger.durability import Derived, Durability, Editable, Frozen

LONGEST_STATEMENT = 4000  # characters of a student's own words


class Acknowledgement(models.Model):
    """A student's receipt of a record: 'I have seen this', not 'I agree'."""

    durability: ClassVar[Durability] = Frozen()

    leaf = models.OneToOneField("checkoffs.RecordLeaf", on_delete=models.PROTECT, related_name="acknowledgement")
    student = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    statement = models.TextField(blank=True)
    at = models.DateTimeField()

    def __str__(self) -> str:
        return f"receipt of {self.leaf_id}"


class OpenTask(models.Model):
    """One thing to do before the next attempt, drawn from what was missed."""

    durability: ClassVar[Durability] = Editable()

    student = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="open_tasks")
    attempt = models.ForeignKey("checkoffs.Attempt", on_delete=models.PROTECT, related_name="open_tasks")
    key = models.CharField("what was missed: step:s24, stated:rate, pair:p1", max_length=80, default="")
    step = models.CharField(max_length=40, blank=True)
    text = models.CharField(max_length=300)
    detail = models.CharField(max_length=300, blank=True)
    required = models.BooleanField(default=True)
    due = models.DateField(null=True, blank=True)
    done_at = models.DateTimeField(null=True, blank=True)
    confirmed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["due", "id"]
        constraints = [models.UniqueConstraint(fields=["attempt", "key"], name="one_task_a_miss")]

    def __str__(self) -> str:
        return self.text


class FollowUp(models.Model):
    """That tasks and permit of a leaf were drawn; what has none yet is still to be followed up."""

    durability: ClassVar[Durability] = Derived()

    leaf = models.OneToOneField("checkoffs.RecordLeaf", on_delete=models.CASCADE, related_name="follow_up")
    at = models.DateTimeField()

    def __str__(self) -> str:
        return f"follow-up of {self.leaf_id}"
