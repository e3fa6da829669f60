"""Enters the invented college: program, cohorts, people, procedures and cases, through the rooms' own actions."""

from __future__ import annotations

import json
import secrets
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from django.conf import settings

from checkoffs.cases import actions as case_actions
from checkoffs.cases.models import CaseTemplate
from checkoffs.ledger.actions import audit
from checkoffs.management.demo.clock import the_time_is
from checkoffs.people import actions as people
from checkoffs.people.models import Cohort, Membership, Program, User
from checkoffs.procedures import actions as procedures
from checkoffs.procedures.models import ProcedureVersion

SOURCE = settings.BASE_DIR / "fixtures" / "demo"
SIGN_INS = settings.DATA_DIR / "demo-sign-ins.json"
BEGUN_DAYS_AGO = 130
PUBLISHED_DAYS_AGO = 60


@dataclass
class College:
    """What the rest of the loader works with, by the names used in the stories."""

    program: Program
    cohorts: dict[str, Cohort] = field(default_factory=dict)
    people: dict[str, User] = field(default_factory=dict)
    versions: dict[str, ProcedureVersion] = field(default_factory=dict)
    templates: dict[str, CaseTemplate] = field(default_factory=dict)

    def students(self, cohort: str) -> list[User]:
        """Students of a cohort in the order of the list."""
        rows = Membership.objects.filter(cohort=self.cohorts[cohort], role="student").select_related("person")
        return [row.person for row in rows.order_by("pk")]


def document() -> dict[str, Any]:
    """The list of invented people and places."""
    found: dict[str, Any] = json.loads((SOURCE / "college.json").read_text())
    return found


def enter(now: datetime) -> College:
    """Enter the college as it was entered some months ago."""
    source = document()
    with the_time_is(now - timedelta(days=BEGUN_DAYS_AGO)) as begun:
        program = Program.objects.create(
            name=source["program"], institution=source["institution"], time_zone=source["time_zone"]
        )
        audit(by=None, act="program.added", subject=program, program=program)
        college = College(program)
        _add_people(college, source, begun)
    with the_time_is(now - timedelta(days=PUBLISHED_DAYS_AGO)):
        _publish(college, college.people["Ruth Okonjo"])
    return college


def _add_people(college: College, source: dict[str, Any], begun: datetime) -> None:
    first = source["staff"][0]  # the administrator, who then enters everybody else
    administrator = _person(college, None, first, begun)
    for name, days in source["cohorts"].items():
        starts = (begun + timedelta(days=BEGUN_DAYS_AGO - days)).date()
        college.cohorts[name] = people.add_cohort(by=administrator, program=college.program, name=name, starts=starts)
    for entry in source["staff"][1:]:
        _person(college, administrator, entry, begun)
    number = 20400
    for cohort, names in source["students"].items():
        for name in names:
            number += 1
            entry = {"name": name, "role": "student", "cohort": cohort, "number": f"H-{number}"}
            student = _person(college, administrator, entry, begun)
            if name in source["extra_time"]:
                people.set_extra_time(
                    by=college.people["Odile Brannagh"],
                    membership=student.memberships.get(),
                    factor=Decimal(source["extra_time"][name]),
                )


def _person(college: College, by: User | None, entry: dict[str, Any], begun: datetime) -> User:
    person = people.add_person(
        by=by,
        full_name=entry["name"],
        program=college.program,
        role=entry["role"],
        cohort=college.cohorts[entry["cohort"]] if entry.get("cohort") else None,
        starts=begun.date(),
        email=entry["name"].split()[0].lower() + "." + entry["name"].split()[-1].lower() + "@harrowmere.example",
        credentials=entry.get("credentials", ""),
        number=entry.get("number", ""),
    )
    college.people[entry["name"]] = person
    return person


def _publish(college: College, author: User) -> None:
    for path in sorted((SOURCE / "procedures").glob("*.json")):
        content = json.loads(path.read_text())
        procedure = procedures.create_procedure(by=author, program=college.program, content=content)
        case = SOURCE / "cases" / path.name
        if case.exists():
            college.templates[path.stem] = case_actions.create_template(
                by=author, procedure=procedure, content=json.loads(case.read_text())
            )
        college.versions[path.stem] = procedures.publish(by=author, procedure=procedure, revision=1)


def give_passwords(college: College) -> list[dict[str, str]]:
    """A random password for one or two people of each role; kept in the private folder, never in the tree."""
    source = document()
    wanted = {entry["name"]: entry["role"] for entry in source["staff"] if entry["sign_in"]}
    wanted |= dict.fromkeys(source["student_sign_ins"], "student")
    rows = []
    for name, role in wanted.items():
        person, password = college.people[name], "-".join(secrets.token_hex(2) for _ in range(4))
        person.set_password(password)
        person.save(update_fields=["password"])
        rows.append({"role": role, "name": name, "username": person.username, "password": password})
    SIGN_INS.touch(mode=0o600)
    SIGN_INS.write_text(json.dumps(rows, indent=1))
    return rows
