"""Users, programs, cohorts, the roles people hold, and one-time sign-in links."""

from __future__ import annotations

import uuid
from decimal import Decimal
from typing import Any, ClassVar

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from checkoffs.ledger.durability import Durability, Editable


class UserManager(BaseUserManager["User"]):
    """Makes users with a hashed password, or with none until their first sign-in."""

    def create_user(self, username: str, password: str | None = None, **fields: Any) -> User:
        """Make one user; without a password the account opens by a one-time link only."""
        user = self.model(username=self.model.normalize_username(username), **fields)
        if password is None:
            user.set_unusable_password()
        else:
            user.set_password(password)
        user.save(using=self._db)
        return user


class User(AbstractBaseUser):
    """A person who signs in. Rights never hang on the account but on the memberships."""

    durability: ClassVar[Durability] = Editable()

    username = models.CharField(max_length=150, unique=True)
    email = models.EmailField(blank=True, default="")
    full_name = models.CharField("full name", max_length=200)
    preferred_name = models.CharField("name used in the lab", max_length=80, blank=True)
    credentials = models.CharField("letters after the name", max_length=40, blank=True)
    number = models.CharField("student or staff number", max_length=40, blank=True)
    opaque = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    is_active = models.BooleanField(default=True)
    date_joined = models.DateTimeField(auto_now_add=True)

    objects = UserManager()
    USERNAME_FIELD = "username"
    EMAIL_FIELD = "email"
    REQUIRED_FIELDS = ["full_name"]

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["email"], condition=~Q(email=""), name="one_user_an_email"),
        ]

    def __str__(self) -> str:
        return self.full_name

    @property
    def called(self) -> str:
        """The name used in the lab, such as a first name; what a tablet may keep."""
        return self.preferred_name or self.full_name.split()[0]

    @property
    def signature(self) -> str:
        """Name with the letters after it, as printed on a record."""
        return f"{self.full_name}, {self.credentials}" if self.credentials else self.full_name


class Program(models.Model):
    """A program of study; everything belongs to exactly one, and nothing is seen across two."""

    durability: ClassVar[Durability] = Editable()

    name = models.CharField(max_length=200, unique=True)
    institution = models.CharField(max_length=200)
    time_zone = models.CharField(max_length=64, default="UTC")

    def __str__(self) -> str:
        return self.name


class Cohort(models.Model):
    """Students who go through a program together."""

    durability: ClassVar[Durability] = Editable()

    program = models.ForeignKey(Program, on_delete=models.PROTECT, related_name="cohorts")
    name = models.CharField(max_length=80)
    starts = models.DateField()
    ends = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["-starts", "name"]
        constraints = [models.UniqueConstraint(fields=["program", "name"], name="one_cohort_a_name")]

    def __str__(self) -> str:
        return self.name


class Role(models.TextChoices):
    """What a person may be in a program or cohort, for a time."""

    ADMINISTRATOR = "administrator", "administrator"
    COORDINATOR = "coordinator", "coordinator"
    INSTRUCTOR = "instructor", "instructor"
    EVALUATOR = "evaluator", "evaluator"
    TECHNICIAN = "technician", "technician"
    STUDENT = "student", "student"


class Membership(models.Model):
    """One role of one person in a program (cohort empty) or in one cohort, with dates.

    A student's membership is the enrolment; ``time_factor`` is the effect of an accommodation, never its reason.
    """

    durability: ClassVar[Durability] = Editable()

    person = models.ForeignKey(User, on_delete=models.PROTECT, related_name="memberships")
    program = models.ForeignKey(Program, on_delete=models.PROTECT, related_name="memberships")
    cohort = models.ForeignKey(Cohort, on_delete=models.PROTECT, null=True, blank=True, related_name="memberships")
    role = models.CharField(max_length=20, choices=Role.choices)
    starts = models.DateField()
    ends = models.DateField(null=True, blank=True)
    time_factor = models.DecimalField(
        "extra time factor",
        max_digits=3,
        decimal_places=2,
        default=Decimal("1"),
        validators=[MinValueValidator(Decimal("1")), MaxValueValidator(Decimal("4"))],
    )

    class Meta:
        indexes = [models.Index(fields=["person", "role"], name="membership_person_role")]
        constraints = [
            models.CheckConstraint(
                condition=~Q(role="student") | Q(cohort__isnull=False), name="student_has_a_cohort"
            ),
            models.CheckConstraint(
                condition=Q(ends__isnull=True) | Q(ends__gte=models.F("starts")),
                name="membership_dates_in_order",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person} as {self.role} in {self.cohort or self.program}"


class SignInLink(models.Model):
    """A one-time link for a first sign-in; only the digest of its token is kept."""

    durability: ClassVar[Durability] = Editable()

    person = models.ForeignKey(User, on_delete=models.CASCADE, related_name="sign_in_links")
    token_digest = models.CharField(max_length=64, unique=True)
    made_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField(auto_now_add=True)
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True)

    def __str__(self) -> str:
        return f"sign-in link of {self.person}"
