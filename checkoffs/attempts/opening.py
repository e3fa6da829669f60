"""Who may open an attempt for whom: scoring rights, enrolment, the student's permit. Reads only; actions write."""

from __future__ import annotations

from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.db.models import Max, Q

from checkoffs.attempts.errors import AttemptError
from checkoffs.attempts.models import Attempt, Permit, Purpose
from checkoffs.attempts.queries import rule_of
from checkoffs.cases.models import CaseTemplate
from checkoffs.cases.queries import answers
from checkoffs.people.models import Cohort, Membership, Role, User
from checkoffs.people.permissions import Access, Act
from checkoffs.procedures.models import Procedure, ProcedureVersion


def local_day(cohort: Cohort, at: datetime) -> date:
    """The date where the program is."""
    return at.astimezone(ZoneInfo(cohort.program.time_zone)).date()


def check_scorer(access: Access, cohort: Cohort, purpose: str, student: User) -> None:
    """Raise unless this person may score this student in the cohort; fellow students score practice only."""
    if access.person.pk == student.pk:
        raise AttemptError("own_attempt", "student", "Nobody scores their own attempt.")
    practice = purpose == Purpose.PRACTICE and access.may(Act.SCORE_PRACTICE, cohort=cohort)
    if not practice and not access.may(Act.SCORE, cohort=cohort):
        raise AttemptError("may_not_score", "by", f"{access.person} may not score {purpose} attempts of {cohort}.")


def enrolment(student: User, cohort: Cohort, day: date) -> Membership:
    """The student's membership of the cohort in force on the day. Raises ``not_enrolled``."""
    found = (
        Membership.objects.filter(person=student, person__is_active=True, cohort=cohort, role=Role.STUDENT)
        .filter(Q(ends=None) | Q(ends__gte=day), starts__lte=day)
        .order_by("-starts")
        .first()
    )
    if found is None:
        raise AttemptError("not_enrolled", "student", f"{student} is no student of {cohort} on this day.")
    return found


def obstacle(student: User, procedure: Procedure, purpose: str, day: date) -> str:
    """What stands in the way of an attempt that counts, in words; empty when nothing does.

    Practice and feedback stay open: they are what a student does to be let in again.
    """
    permit = Permit.objects.filter(student=student, procedure=procedure).first()
    if permit is None or purpose != Purpose.SUMMATIVE:
        return ""
    if not permit.may:
        return permit.because or "No further attempt is open."
    if permit.not_before is not None and day < permit.not_before:
        return permit.because or f"Not before {permit.not_before.isoformat()}."
    return ""


def check_permit(
    access: Access, student: User, cohort: Cohort, procedure: Procedure, purpose: str, day: date, override_reason: str
) -> str:
    """Raise ``blocked`` when a permit forbids it and no entitled person gave a reason; return what is overridden."""
    blocked = obstacle(student, procedure, purpose, day)
    if not blocked:
        return ""
    if not override_reason.strip():
        raise AttemptError("blocked", "override_reason", f"{blocked} An instructor may override this with a reason.")
    if not access.may(Act.OVERRIDE_POLICY, cohort=cohort):
        raise AttemptError("may_not_override", "override_reason", f"{blocked} Only an instructor may override this.")
    return blocked


def check_version(version: ProcedureVersion, cohort: Cohort) -> None:
    """The version must belong to the cohort's program and its procedure must be in use."""
    procedure = version.procedure
    if procedure.program_id != cohort.program_id:
        raise AttemptError("other_program", "version", "This procedure belongs to another program.")
    if procedure.retired_at is not None:
        raise AttemptError("retired", "version", f"{procedure} is retired.")


def check_template(template: CaseTemplate | None, version: ProcedureVersion) -> None:
    """A procedure that asks for stated values needs a case of its own that has an answer for each of them."""
    asked = {check.id: check.label for check in rule_of(version).stated}
    if template is None:
        if asked:
            raise AttemptError("case_needed", "template", "This procedure asks for stated values: choose a case.")
        return
    if template.procedure_id != version.procedure_id or template.retired_at is not None:
        raise AttemptError("other_case", "template", "This case is not in use for this procedure.")
    missing = [label for check, label in asked.items() if check not in answers(template)]
    if missing:
        raise AttemptError("case_incomplete", "template", f"This case has no answer for {', '.join(missing)}.")


def next_number(student: User, procedure: Procedure) -> int:
    """Which attempt of this student at this procedure the next one is."""
    last = Attempt.objects.filter(student=student, version__procedure=procedure).aggregate(last=Max("number"))["last"]
    return (last or 0) + 1
