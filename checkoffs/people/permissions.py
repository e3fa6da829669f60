"""Who may do what: acts, the roles that grant them, and where a person holds those roles.

A right is never attached to an account. It follows from a membership: a role in a program or in one cohort,
between two dates. Procedures belong to the program, so an act asked for a program alone is granted by a
membership in any of its cohorts; an act asked for a cohort needs a membership of that cohort or of the program.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Any
from zoneinfo import ZoneInfo

from django.core.exceptions import PermissionDenied
from django.db.models import Q, QuerySet
from django.http import HttpRequest, HttpResponseBase
from django.utils import timezone

from checkoffs.people.models import Cohort, Membership, Program, Role, User


class Act(StrEnum):
    """Everything a role may grant."""

    MANAGE_PEOPLE = "manage people"
    SEE_AUDIT = "see the audit trail"
    ENROL = "enrol students"
    SET_EXTRA_TIME = "set extra time"
    SCHEDULE = "plan days"
    CHECK_IN = "check students in"
    SEE_BOARD = "see the day's board without names or results"
    SEE_RESULTS = "see results of a cohort"
    EXPORT = "export reports"
    VOID = "void an attempt with a reason"
    NAME_MODERATOR = "name a moderator"
    READ_PROCEDURES = "read procedures"
    WRITE_PROCEDURES = "write and publish procedures"
    WRITE_CASES = "write cases"
    SCORE = "score attempts"
    MODERATE = "moderate attempts"
    AMEND = "amend records"
    CONFIRM_TASKS = "confirm remediation"
    OVERRIDE_POLICY = "override attempt policy with a reason"
    SCORE_PRACTICE = "score practice attempts of fellow students"
    OWN_RESULTS = "see own results"


_TEACHING = {Act.READ_PROCEDURES, Act.SCORE, Act.CHECK_IN, Act.SEE_BOARD}
GRANTS: dict[Role, frozenset[Act]] = {
    Role.ADMINISTRATOR: frozenset({Act.MANAGE_PEOPLE, Act.ENROL, Act.SEE_AUDIT, Act.SEE_BOARD}),
    Role.COORDINATOR: frozenset(
        {
            Act.ENROL,
            Act.SET_EXTRA_TIME,
            Act.SCHEDULE,
            Act.CHECK_IN,
            Act.SEE_BOARD,
            Act.SEE_RESULTS,
            Act.EXPORT,
            Act.VOID,
            Act.NAME_MODERATOR,
            Act.READ_PROCEDURES,
            Act.SEE_AUDIT,
            Act.CONFIRM_TASKS,
        }
    ),
    Role.INSTRUCTOR: frozenset(
        _TEACHING
        | {
            Act.WRITE_PROCEDURES,
            Act.WRITE_CASES,
            Act.MODERATE,
            Act.AMEND,
            Act.SEE_RESULTS,
            Act.OVERRIDE_POLICY,
            Act.CONFIRM_TASKS,
        }
    ),
    Role.EVALUATOR: frozenset(_TEACHING),
    Role.TECHNICIAN: frozenset({Act.SEE_BOARD, Act.CHECK_IN}),
    Role.STUDENT: frozenset({Act.OWN_RESULTS, Act.SCORE_PRACTICE}),
}


@dataclass(frozen=True)
class Access:
    """What one person may do today; made once a request."""

    person: User
    memberships: tuple[Membership, ...]

    @classmethod
    def of(cls, person: User, *, on: date | None = None) -> Access:
        """Read the memberships in force on a date (default: today where each program is)."""
        rows = person.memberships.select_related("program", "cohort")
        return cls(person, tuple(m for m in rows if _in_force(m, on)))

    def _granting(self, act: Act) -> Iterable[Membership]:
        return (m for m in self.memberships if act in GRANTS[Role(m.role)])

    def may(self, act: Act, *, program: Program | None = None, cohort: Cohort | None = None) -> bool:
        """Whether the act is granted: anywhere, in a program, or in a cohort."""
        for held in self._granting(act):
            if cohort is not None:
                if held.program_id == cohort.program_id and held.cohort_id in (None, cohort.pk):
                    return True
            elif program is None or held.program_id == program.pk:
                return True
        return False

    def programs(self, act: Act) -> QuerySet[Program]:
        """Programs in which the act is granted, in whole or for a cohort."""
        return Program.objects.filter(pk__in={m.program_id for m in self._granting(act)}).order_by("name")

    def cohorts(self, act: Act) -> QuerySet[Cohort]:
        """Cohorts for which the act is granted."""
        whole = {m.program_id for m in self._granting(act) if m.cohort_id is None}
        single = {m.cohort_id for m in self._granting(act) if m.cohort_id is not None}
        return Cohort.objects.filter(Q(program__in=whole) | Q(pk__in=single)).select_related("program")

    def has(self, *roles: Role) -> bool:
        """Whether any of the roles is held anywhere."""
        return any(m.role in roles for m in self.memberships)

    def home_program(self) -> Program | None:
        """The first program this person belongs to, for the frame and the time zone."""
        return self.memberships[0].program if self.memberships else None


def _in_force(held: Membership, on: date | None) -> bool:
    today = on or timezone.now().astimezone(ZoneInfo(held.program.time_zone)).date()
    return held.starts <= today and (held.ends is None or today <= held.ends)


def access_of(request: HttpRequest) -> Access:
    """The access the middleware put on the request; its ``person`` is who acts."""
    return request.access  # type: ignore[attr-defined, no-any-return]


View = Callable[..., HttpResponseBase]


def requires(*acts: Act) -> Callable[[View], View]:
    """Let a view run only for people to whom at least one of the acts is granted somewhere; else 403.

    The view still has to fetch its object through a queryset limited to the person's programs or cohorts, so
    that another program's object is 404.
    """

    def decorate(view: View) -> View:
        @functools.wraps(view)
        def inside(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
            access = access_of(request)
            if not any(access.may(act) for act in acts):
                raise PermissionDenied(f"This needs the right to {' or '.join(acts)}.")
            return view(request, *args, **kwargs)

        return inside

    return decorate
