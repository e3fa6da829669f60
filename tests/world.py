"""The invented people and places that tests stand on."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import Any

from checkoffs.people.models import Cohort, Membership, Program, Role, User

KINDS = (
    "anonymous",
    "administrator",
    "coordinator",
    "instructor",
    "second_instructor",
    "evaluator",
    "second_evaluator",
    "technician",
    "student",
    "fellow_student",
    "other_cohort_student",
    "other_cohort_evaluator",
    "outsider",
)


@dataclass
class World:
    """A program with cohorts A and B, a foreign program, and people by kind."""

    program: Program
    cohort: Cohort
    other_cohort: Cohort
    foreign_program: Program
    foreign_cohort: Cohort
    people: dict[str, User]
    things: dict[str, Any] = field(default_factory=dict)  # what room fixtures add

    def __getattr__(self, name: str) -> Any:
        if name in {"people", "things"}:
            raise AttributeError(name)
        if name in self.people:
            return self.people[name]
        if name in self.things:
            return self.things[name]
        raise AttributeError(name)


def make_world() -> World:
    """Make the rows; every name is invented."""
    program = Program.objects.create(
        name="Practical Nursing", institution="Harrowmere College", time_zone="Europe/London"
    )
    foreign = Program.objects.create(name="Paramedicine", institution="Tolver Institute", time_zone="Europe/London")
    starts = date(2026, 1, 5)
    cohort = Cohort.objects.create(program=program, name="26-A", starts=starts)
    other = Cohort.objects.create(program=program, name="26-B", starts=starts)
    far = Cohort.objects.create(program=foreign, name="P-1", starts=starts)
    people: dict[str, User] = {}

    def add(kind: str, full_name: str, role: Role, in_program: Program, in_cohort: Cohort | None) -> None:
        person = User.objects.create_user(
            username=kind,
            password=f"{kind}-password-of-tests",
            email=f"{kind}@harrowmere.example",
            full_name=full_name,
            number=f"H-{20400 + len(people)}",
            credentials="" if role == Role.STUDENT else "RN",
        )
        Membership.objects.create(person=person, program=in_program, cohort=in_cohort, role=role, starts=starts)
        people[kind] = person

    add("administrator", "Ansa Whitlow", Role.ADMINISTRATOR, program, None)
    add("coordinator", "Odile Brannagh", Role.COORDINATOR, program, None)
    add("instructor", "Ruth Okonjo", Role.INSTRUCTOR, program, cohort)
    add("second_instructor", "Piet Vandersteen", Role.INSTRUCTOR, program, cohort)
    add("evaluator", "Jo Castellane", Role.EVALUATOR, program, cohort)
    add("second_evaluator", "Mina Farrow", Role.EVALUATOR, program, cohort)
    add("technician", "Bram Teller", Role.TECHNICIAN, program, None)
    add("student", "Marit Adeyemi", Role.STUDENT, program, cohort)
    add("fellow_student", "Piers Aldous", Role.STUDENT, program, cohort)
    add("other_cohort_student", "Tove Lindgrove", Role.STUDENT, program, other)
    add("other_cohort_evaluator", "Hal Quennell", Role.EVALUATOR, program, other)
    add("outsider", "Vera Stranger", Role.INSTRUCTOR, foreign, None)
    return World(program, cohort, other, foreign, far, people)
