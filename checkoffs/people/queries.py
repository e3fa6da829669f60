"""Reading people: who may be seen by whom, lists with their filters, whose account may be managed."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Exists, OuterRef, Prefetch, Q, QuerySet
from django.utils import timezone

from checkoffs.ledger.models import AuditEntry
from checkoffs.people.models import Cohort, Membership, Program, Role, SignInLink, User
from checkoffs.people.permissions import Access, Act

SORTS = {
    "name": ("full_name", "pk"),
    "-name": ("-full_name", "-pk"),
    "number": ("number", "full_name", "pk"),
    "-number": ("-number", "full_name", "pk"),
    "joined": ("date_joined", "pk"),
    "-joined": ("-date_joined", "-pk"),
}


def today_in(program: Program) -> date:
    """The calendar day where the program is."""
    return timezone.now().astimezone(ZoneInfo(program.time_zone)).date()


def in_force(on: date, *, prefix: str = "") -> Q:
    """Memberships that hold on a date; ``prefix`` leads to them from another table."""
    no_end, later = Q((f"{prefix}ends", None)), Q((f"{prefix}ends__gte", on))
    return Q((f"{prefix}starts__lte", on)) & (no_end | later)


def memberships_seen(access: Access) -> QuerySet[Membership]:
    """Memberships, past ones too, that this person may read on the people pages."""
    whole = access.programs(Act.MANAGE_PEOPLE)
    return (
        Membership.objects.filter(
            Q(program__in=whole)
            | Q(cohort__in=access.cohorts(Act.ENROL))
            | Q(cohort=None, program__in=_programs_enrolled_whole(access))
        )
        .select_related("program", "cohort")
        .order_by("-starts", "role", "pk")
    )


def _programs_enrolled_whole(access: Access) -> set[int]:
    return {
        m.program_id for m in access.memberships if m.cohort_id is None and access.may(Act.ENROL, program=m.program)
    }


def people_seen(access: Access) -> QuerySet[User]:
    """People with at least one membership that may be read; also former members."""
    return User.objects.filter(Exists(memberships_seen(access).filter(person=OuterRef("pk"))))


def program_seen(access: Access, person: User) -> Program | None:
    """The program in which this person is seen; the newest role's where there are several."""
    held = memberships_seen(access).filter(person=person).first()
    return held.program if held else None


def people_list(
    access: Access, *, text: str, role: str, cohort: Cohort | None, state: str, sort: str
) -> QuerySet[User]:
    """People for the list: ``text`` in name, e-mail, user name or number; ``state`` active, waiting, off or all."""
    seen = memberships_seen(access)
    held = seen
    if role:
        held = held.filter(role=role)
    if cohort is not None:
        held = held.filter(cohort=cohort)
    people = User.objects.filter(Exists(held.filter(person=OuterRef("pk"))))
    for word in text.split():
        people = people.filter(
            Q(full_name__icontains=word)
            | Q(preferred_name__icontains=word)
            | Q(email__icontains=word)
            | Q(username__icontains=word)
            | Q(number__icontains=word)
        )
    if state == "active":
        people = people.filter(is_active=True)
    elif state == "off":
        people = people.filter(is_active=False)
    elif state == "waiting":
        people = people.filter(is_active=True, last_login=None)
    return people.prefetch_related(Prefetch("memberships", queryset=seen, to_attr="seen_memberships")).order_by(
        *SORTS.get(sort, SORTS["name"])
    )


def may_manage_account(access: Access, person: User, *, memberships: list[Membership] | None = None) -> bool:
    """Whether name, address, sign-in link and activity of an account may be changed by this person.

    Every membership the account holds or will hold must lie in a program this person administers; a coordinator may
    do so for people who are students only, of cohorts in which they enrol. Otherwise a link made in one program would
    open the rights of another. ``memberships`` spares the query where all of them are read already.
    """
    held = memberships
    if held is None:
        held = list(person.memberships.select_related("program", "cohort"))
    open_ones = [m for m in held if m.ends is None or m.ends >= today_in(m.program)] or held
    if not open_ones:
        return False
    return all(
        access.may(Act.MANAGE_PEOPLE, program=m.program)
        or (m.role == Role.STUDENT and m.cohort is not None and access.may(Act.ENROL, cohort=m.cohort))
        for m in open_ones
    )


def may_change_membership(access: Access, held: Membership) -> bool:
    """Administrators change any role of their program; who enrols changes students of their cohorts."""
    if access.may(Act.MANAGE_PEOPLE, program=held.program):
        return True
    return held.role == Role.STUDENT and held.cohort is not None and access.may(Act.ENROL, cohort=held.cohort)


def may_set_extra_time(access: Access, held: Membership) -> bool:
    """Extra time is set on an enrolment, by the coordinator of its cohort."""
    return (
        held.role == Role.STUDENT and held.cohort is not None and access.may(Act.SET_EXTRA_TIME, cohort=held.cohort)
    )


def open_link(person: User) -> SignInLink | None:
    """The link that would still open this account, if there is one."""
    return person.sign_in_links.filter(used_at=None, expires_at__gt=timezone.now()).order_by("-pk").first()


def students_of(cohort: Cohort, *, on: date) -> QuerySet[Membership]:
    """Enrolments of a cohort on a date, by name, with person and extra time."""
    return (
        Membership.objects.filter(in_force(on), cohort=cohort, role=Role.STUDENT, person__is_active=True)
        .select_related("person")
        .order_by("person__full_name", "pk")
    )


def staff_of(cohort: Cohort, *, on: date, roles: tuple[Role, ...]) -> QuerySet[User]:
    """Active people holding one of the roles in a cohort or its whole program on a date."""
    held = Membership.objects.filter(
        in_force(on), Q(cohort=cohort) | Q(cohort=None, program=cohort.program), role__in=roles, person=OuterRef("pk")
    )
    return User.objects.filter(Exists(held), is_active=True).order_by("full_name", "pk")


def waiting_for_links(access: Access, *, cohort: Cohort | None) -> QuerySet[User]:
    """Active people seen here who have never signed in."""
    held = memberships_seen(access)
    if cohort is not None:
        held = held.filter(cohort=cohort)
    return User.objects.filter(Exists(held.filter(person=OuterRef("pk"))), is_active=True, last_login=None).order_by(
        "full_name", "pk"
    )


def audit_trail(
    access: Access, *, act: str, person: User | None, since: date | None, until: date | None, zone: str
) -> QuerySet[AuditEntry]:
    """Entries of the programs whose trail may be read, newest first; dates are days in ``zone``."""
    entries = AuditEntry.objects.filter(program__in=access.programs(Act.SEE_AUDIT)).select_related("by")
    if act:
        entries = entries.filter(act=act)
    if person is not None:
        entries = entries.filter(Q(by=person) | Q(subject_type="user", subject_id=str(person.pk)))
    if since:
        entries = entries.filter(at__gte=_midnight(since, zone))
    if until:
        entries = entries.filter(at__lt=_midnight(until + timedelta(days=1), zone))
    return entries.order_by("-id")


def _midnight(day: date, zone: str) -> datetime:
    return datetime.combine(day, time.min, tzinfo=ZoneInfo(zone))
