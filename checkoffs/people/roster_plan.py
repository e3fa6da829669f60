"""What a roster would do: each row set against the people, roles and cohorts that exist. Writes nothing."""

from __future__ import annotations

import hashlib
from collections import Counter
from dataclasses import dataclass, field
from datetime import date

from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.db.models import Prefetch, Q

from checkoffs.people.models import Cohort, Membership, Program, Role, User
from checkoffs.people.permissions import Access, Act
from checkoffs.people.queries import may_manage_account, people_seen, today_in
from checkoffs.people.roster import Line, Sheet

DETAILS = ("full_name", "preferred_name", "credentials", "email", "username", "number")
_LONGEST = {"preferred_name": 80, "credentials": 40, "number": 40, "username": 150, "email": 200, "full_name": 200}
_ROLE_WORDS = {
    "": Role.STUDENT,
    "learner": Role.STUDENT,
    "students": Role.STUDENT,
    "teacher": Role.INSTRUCTOR,
    "faculty": Role.INSTRUCTOR,
    "admin": Role.ADMINISTRATOR,
    "assessor": Role.EVALUATOR,
    **{str(role.value): role for role in Role},
}


@dataclass
class PlanRow:
    """One row: whom it means, what it gives, what it changes, what is wrong with it."""

    number: int
    details: dict[str, str]
    role: str = ""
    cohort: Cohort | None = None
    starts: date = date.min
    ends: date | None = None
    person: User | None = None
    held: Membership | None = None
    changed: dict[str, str] = field(default_factory=dict)
    new_dates: bool = False
    again: bool = False  # a person whom an earlier row of the same file adds
    errors: list[str] = field(default_factory=list)

    @property
    def key(self) -> str:
        """What makes two rows of one file the same person."""
        return (
            self.details["email"] or self.details["username"] or self.details["number"]
        ).lower() or f"#{self.number}"

    @property
    def effect(self) -> str:
        """One word for the preview: error, add, role, change or same."""
        if self.errors:
            return "error"
        if self.person is None:
            return "role" if self.again else "add"
        if self.held is None:
            return "role"
        return "change" if self.changed or self.new_dates else "same"


@dataclass(frozen=True)
class RosterPlan:
    """All rows of a roster for one program."""

    program: Program
    rows: tuple[PlanRow, ...]

    @property
    def errors(self) -> int:
        """How many rows have errors."""
        return sum(bool(row.errors) for row in self.rows)

    @property
    def counts(self) -> dict[str, int]:
        """How many rows have each effect."""
        found = Counter(row.effect for row in self.rows)
        return {effect: found[effect] for effect in ("add", "role", "change", "same", "error")}

    @property
    def digest(self) -> str:
        """Changes when the effect of any row changes; binds the commit to the preview that was seen."""
        seen = [
            (r.number, r.effect, r.person and r.person.pk, r.role, r.cohort and r.cohort.pk, r.starts, r.ends)
            for r in self.rows
        ]
        cells = [(sorted(r.details.items()), sorted(r.changed), r.errors) for r in self.rows]
        return hashlib.sha256(repr((self.program.pk, seen, cells)).encode()).hexdigest()


def make_plan(access: Access, program: Program, sheet: Sheet) -> RosterPlan:
    """Set a sheet against what exists; four queries, however many rows."""
    known = _Known(access, program, sheet)
    rows: list[PlanRow] = []
    for line in sheet.lines:
        row = PlanRow(line.number, {name: line.cells.get(name, "") for name in DETAILS}, errors=list(line.errors))
        row.details["email"] = row.details["email"].lower()
        _check_details(row)
        _read_role(row, line, known)
        _find_person(row, known)
        if not row.errors:
            _compare(row, known)
        rows.append(row)
    _check_together(rows)
    return RosterPlan(program, tuple(rows))


class _Known:
    """People, cohorts and rights a plan is made against."""

    def __init__(self, access: Access, program: Program, sheet: Sheet) -> None:
        self.access, self.program, self.today = access, program, today_in(program)
        self.whole = access.may(Act.MANAGE_PEOPLE, program=program)
        self.cohorts = {c.name.casefold(): c for c in access.cohorts(Act.ENROL).filter(program=program)}
        held = Prefetch("memberships", queryset=Membership.objects.select_related("program", "cohort"))
        cells = [line.cells for line in sheet.lines]
        wanted = Q(email__in={c["email"].lower() for c in cells if c.get("email")})
        wanted |= Q(username__in={c["username"] for c in cells if c.get("username")})
        wanted |= Q(number__in={c["number"] for c in cells if c.get("number")})
        people = list(User.objects.filter(wanted).prefetch_related(held))
        self.seen = set(people_seen(access).filter(pk__in=[p.pk for p in people]).values_list("pk", flat=True))
        self.by_email = {p.email.lower(): p for p in people if p.email}
        self.by_username = {p.username.lower(): p for p in people}
        self.by_number: dict[str, list[User]] = {}
        for person in people:
            if person.number and person.pk in self.seen:
                self.by_number.setdefault(person.number, []).append(person)


def _check_details(row: PlanRow) -> None:
    for name, longest in _LONGEST.items():
        if len(row.details[name]) > longest:
            row.errors.append(f"{name}: longer than {longest} letters.")
    if not row.details["full_name"]:
        row.errors.append("full_name: empty.")
    if row.details["email"]:
        try:
            validate_email(row.details["email"])
        except ValidationError:
            row.errors.append(f"email: “{row.details['email']}” is not an address.")


def _read_role(row: PlanRow, line: Line, known: _Known) -> None:
    word = line.cells.get("role", "").lower()
    role = _ROLE_WORDS.get(word)
    if role is None:
        row.errors.append(f"role: “{word}” is none of {', '.join(Role.values)}.")
        return
    row.role = role.value
    if role != Role.STUDENT and not known.whole:
        row.errors.append(f"role: only an administrator gives the role {role.label}; you may enrol students.")
    name = line.cells.get("cohort", "")
    row.cohort = known.cohorts.get(name.casefold())
    if name and row.cohort is None:
        row.errors.append(f"cohort: there is no cohort “{name}” in which you enrol.")
    elif not name and role == Role.STUDENT:
        row.errors.append("cohort: a student needs one.")
    row.starts = _read_date(row, line, "starts") or (row.cohort.starts if row.cohort else known.today)
    row.ends = _read_date(row, line, "ends") or (row.cohort.ends if row.cohort else None)
    if row.ends is not None and row.ends < row.starts:
        row.errors.append("ends: lies before starts.")


def _read_date(row: PlanRow, line: Line, column: str) -> date | None:
    cell = line.cells.get(column, "")
    if not cell:
        return None
    try:
        return date.fromisoformat(cell)
    except ValueError:
        row.errors.append(f"{column}: “{cell}” is not a date; write it as 2026-09-01.")
        return None


def _find_person(row: PlanRow, known: _Known) -> None:
    found = {
        person.pk: person
        for person in (
            known.by_email.get(row.details["email"]),
            known.by_username.get(row.details["username"].lower()),
        )
        if person is not None
    }
    numbered = known.by_number.get(row.details["number"], []) if row.details["number"] else []
    if not found and numbered:
        found = {person.pk: person for person in numbered}
    if len(found) > 1:
        row.errors.append("E-mail, user name and number belong to different people.")
    elif found:
        row.person = next(iter(found.values()))


def _compare(row: PlanRow, known: _Known) -> None:
    person = row.person
    if person is None:
        return
    held = list(person.memberships.all())
    # Someone known to another program only gets the role here; their details stay as that program keeps them.
    if person.pk in known.seen and may_manage_account(known.access, person, memberships=held):
        row.changed = {name: value for name, value in row.details.items() if value and value != getattr(person, name)}
    cohort_key = row.cohort.pk if row.cohort else None
    for one in held:
        same_place = (one.program_id, one.cohort_id, one.role) == (known.program.pk, cohort_key, row.role)
        if (
            same_place
            and (one.ends is None or one.ends >= row.starts)
            and (row.ends is None or one.starts <= row.ends)
        ):
            row.held = one
            row.new_dates = (one.starts, one.ends) != (row.starts, row.ends)
            return


def _check_together(rows: list[PlanRow]) -> None:
    first: dict[tuple[str, str, int | None], int] = {}
    added: dict[str, PlanRow] = {}
    numbers: dict[str, PlanRow] = {}
    for row in rows:
        who = f"person {row.person.pk}" if row.person else row.key
        place = (who, row.role, row.cohort.pk if row.cohort else None)
        if place in first:
            row.errors.append(f"The same as row {first[place]}.")
        first.setdefault(place, row.number)
        earlier = added.get(row.key)
        if row.person is None and earlier is not None:
            row.again = True
            if earlier.details["full_name"] != row.details["full_name"]:
                row.errors.append(f"Row {earlier.number} has the same {row.key} and another name.")
        if row.person is None:
            added.setdefault(row.key, row)
            _check_number(row, numbers)


def _check_number(row: PlanRow, numbers: dict[str, PlanRow]) -> None:
    for name in ("number", "username"):
        value = row.details[name].lower()
        if not value:
            continue
        earlier = numbers.setdefault(f"{name}:{value}", row)
        if earlier.key != row.key:
            row.errors.append(f"Row {earlier.number} has the same {name}.")
