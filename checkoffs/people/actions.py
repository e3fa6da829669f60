"""Writes of the people room: people, memberships, extra time, cohorts, whole rosters."""

from __future__ import annotations

import re
import unicodedata
from datetime import date
from decimal import Decimal
from typing import Any

from checkoffs.ledger.actions import action, audit
from checkoffs.people.models import Cohort, Membership, Program, Role, User
from checkoffs.people.queries import in_force, today_in
from checkoffs.people.roster_plan import RosterPlan

DETAILS = ("full_name", "preferred_name", "credentials", "email", "username", "number")


class PeopleError(Exception):
    """A change that is refused; ``field`` names the form field it belongs to, empty for the whole form."""

    def __init__(self, message: str, *, field: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.field = field


def free_username(full_name: str, email: str) -> str:
    """A user name nobody has, made of the address or the name: `marit.adeyemi`, then `marit.adeyemi2`."""
    base = email.partition("@")[0] if email else full_name
    plain = unicodedata.normalize("NFKD", base).encode("ascii", "ignore").decode()
    stem = re.sub(r"[^a-z0-9]+", ".", plain.lower()).strip(".")[:140] or "person"
    taken = set(User.objects.filter(username__startswith=stem).values_list("username", flat=True))
    names = [stem, *(f"{stem}{n}" for n in range(2, len(taken) + 3))]
    return next(name for name in names if name not in taken)


def _refuse_taken(person: User) -> None:
    others = User.objects.exclude(pk=person.pk)
    if person.email and others.filter(email__iexact=person.email).exists():
        raise PeopleError("Someone already has this e-mail address.", field="email")
    if others.filter(username__iexact=person.username).exists():
        raise PeopleError("Someone already has this user name.", field="username")


@action
def add_person(
    *,
    by: User | None,
    full_name: str,
    program: Program,
    role: str,
    cohort: Cohort | None,
    starts: date,
    ends: date | None = None,
    email: str = "",
    username: str = "",
    **details: str,
) -> User:
    """A new person with a first membership and no password; they come in by a one-time link. Raises PeopleError."""
    person = User(full_name=full_name.strip(), email=email.strip().lower(), **details)
    person.username = username.strip() or free_username(person.full_name, person.email)
    person.set_unusable_password()
    _refuse_taken(person)
    person.save()
    audit(by=by, act="person.added", subject=person, program=program)
    add_membership(by=by, person=person, program=program, role=role, cohort=cohort, starts=starts, ends=ends)
    return person


@action
def change_person(*, by: User, person: User, program: Program, **details: str) -> User:
    """Change name, letters, number, address or user name. Raises PeopleError when an address is taken."""
    changed = [name for name in DETAILS if name in details and getattr(person, name) != details[name]]
    for name in changed:
        setattr(person, name, details[name])
    _refuse_taken(person)
    if changed:
        person.save(update_fields=changed)
        audit(by=by, act="person.changed", subject=person, program=program, detail={"fields": changed})
    return person


@action
def set_active(*, by: User, person: User, program: Program, active: bool) -> User:
    """Close an account, which ends its sessions, or open it again; records and memberships stay."""
    if person.pk == by.pk and not active:
        raise PeopleError("Nobody closes their own account: ask a second administrator.")
    person.is_active = active
    person.save(update_fields=["is_active"])
    audit(by=by, act="person.opened" if active else "person.closed", subject=person, program=program)
    return person


@action
def add_membership(
    *,
    by: User | None,
    person: User,
    program: Program,
    role: str,
    cohort: Cohort | None,
    starts: date,
    ends: date | None = None,
    time_factor: Decimal = Decimal("1"),
) -> Membership:
    """Give a role in a program or cohort for a time. Raises PeopleError when it contradicts itself or doubles one."""
    if role == Role.STUDENT and cohort is None:
        raise PeopleError("A student needs a cohort.", field="cohort")
    if cohort is not None and cohort.program_id != program.pk:
        raise PeopleError("This cohort belongs to another program.", field="cohort")
    if ends is not None and ends < starts:
        raise PeopleError("The last day lies before the first.", field="ends")
    same = person.memberships.filter(program=program, cohort=cohort, role=role)
    if any(_overlap(held, starts, ends) for held in same):
        raise PeopleError("This role is already held then.", field="role")
    held = Membership.objects.create(
        person=person, program=program, cohort=cohort, role=role, starts=starts, ends=ends, time_factor=time_factor
    )
    audit(by=by, act="membership.added", subject=person, program=program, detail=_membership_detail(held))
    return held


def _overlap(held: Membership, starts: date, ends: date | None) -> bool:
    return (ends is None or held.starts <= ends) and (held.ends is None or starts <= held.ends)


def _membership_detail(held: Membership) -> dict[str, Any]:
    return {
        "membership": held.pk,
        "role": held.role,
        "cohort": held.cohort.name if held.cohort else "",
        "starts": held.starts.isoformat(),
        "ends": held.ends.isoformat() if held.ends else "",
    }


@action
def end_membership(*, by: User, membership: Membership, ends: date) -> Membership:
    """Set the last day of a role; a day in the past or the future is fine. Raises PeopleError."""
    if ends < membership.starts:
        raise PeopleError(f"The role began on {membership.starts}; it cannot end before.", field="ends")
    if membership.role == Role.ADMINISTRATOR and not _another_administrator(membership, ends):
        raise PeopleError("This is the program's only administrator. Give the role to someone else first.")
    membership.ends = ends
    membership.save(update_fields=["ends"])
    audit(
        by=by,
        act="membership.ended",
        subject=membership.person,
        program=membership.program,
        detail=_membership_detail(membership),
    )
    return membership


def _another_administrator(held: Membership, ends: date) -> bool:
    later = max(ends, today_in(held.program))
    others = Membership.objects.filter(program=held.program, role=Role.ADMINISTRATOR, person__is_active=True)
    return others.filter(in_force(later)).exclude(pk=held.pk).exists()


@action
def set_extra_time(*, by: User, membership: Membership, factor: Decimal) -> Membership:
    """Set the effect of an accommodation on an enrolment; its reason is kept nowhere. Open attempts keep theirs."""
    if membership.role != Role.STUDENT:
        raise PeopleError("Extra time belongs to an enrolment.", field="time_factor")
    if not Decimal(1) <= factor <= Decimal(4):
        raise PeopleError("The factor lies between 1 and 4.", field="time_factor")
    membership.time_factor = factor
    membership.save(update_fields=["time_factor"])
    audit(
        by=by,
        act="membership.extra_time",
        subject=membership.person,
        program=membership.program,
        detail={"membership": membership.pk, "factor": str(factor)},
    )
    return membership


@action
def add_cohort(*, by: User, program: Program, name: str, starts: date, ends: date | None = None) -> Cohort:
    """A new cohort of a program. Raises PeopleError when the name is taken."""
    return _save_cohort(by, Cohort(program=program), name, starts, ends, "cohort.added")


@action
def change_cohort(*, by: User, cohort: Cohort, name: str, starts: date, ends: date | None = None) -> Cohort:
    """Change a cohort's name or dates; its memberships keep theirs. Raises PeopleError."""
    return _save_cohort(by, cohort, name, starts, ends, "cohort.changed")


def _save_cohort(by: User, cohort: Cohort, name: str, starts: date, ends: date | None, act: str) -> Cohort:
    if Cohort.objects.filter(program=cohort.program, name__iexact=name).exclude(pk=cohort.pk).exists():
        raise PeopleError("The program already has a cohort of this name.", field="name")
    if ends is not None and ends < starts:
        raise PeopleError("The last day lies before the first.", field="ends")
    cohort.name, cohort.starts, cohort.ends = name, starts, ends
    cohort.save()
    detail = {"name": name, "starts": starts.isoformat(), "ends": ends.isoformat() if ends else ""}
    audit(by=by, act=act, subject=cohort, program=cohort.program, detail=detail)
    return cohort


@action
def commit_roster(*, by: User, plan: RosterPlan) -> list[User]:
    """Carry a roster out, all or nothing; returns the people added. Raises PeopleError when the plan has errors."""
    if plan.errors:
        raise PeopleError("The roster has rows with errors; nothing was saved.")
    added: dict[str, User] = {}
    for row in plan.rows:
        person = row.person or added.get(row.key)
        if person is None:
            added[row.key] = add_person(
                by=by,
                program=plan.program,
                role=row.role,
                cohort=row.cohort,
                starts=row.starts,
                ends=row.ends,
                **row.details,
            )
            continue
        if row.changed:
            change_person(by=by, person=person, program=plan.program, **row.changed)
        if row.held is not None and row.new_dates:
            _change_dates(by, row.held, row.starts, row.ends)
        elif row.held is None:
            add_membership(
                by=by,
                person=person,
                program=plan.program,
                role=row.role,
                cohort=row.cohort,
                starts=row.starts,
                ends=row.ends,
            )
    audit(by=by, act="roster.imported", subject=plan.program, program=plan.program, detail=plan.counts)
    return list(added.values())


def _change_dates(by: User, held: Membership, starts: date, ends: date | None) -> None:
    held.starts, held.ends = starts, ends
    held.save(update_fields=["starts", "ends"])
    audit(by=by, act="membership.dates", subject=held.person, program=held.program, detail=_membership_detail(held))
