"""Makes the program and its first administrator, and prints the one-time link with which that person comes in."""

from __future__ import annotations

import sys
from argparse import ArgumentParser
from typing import Any
from zoneinfo import ZoneInfo, available_timezones

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError
from django.core.validators import validate_email

from checkoffs.ledger.actions import action, audit
from checkoffs.people.actions import PeopleError, add_person
from checkoffs.people.links import MadeLink, make_link
from checkoffs.people.models import Membership, Program, Role, User
from checkoffs.people.queries import in_force, today_in

QUESTIONS = {
    "institution": "Name of the institution",
    "program": "Name of the program (such as Practical Nursing)",
    "time_zone": "Time zone (such as Europe/London)",
    "full_name": "Full name of the first administrator",
    "email": "E-mail of the first administrator (may stay empty)",
}


class Command(BaseCommand):
    """Run again, it changes nothing: it prints a new link only while no administrator has signed in."""

    help = "Make the program and its first administrator; print a one-time link. Safe to repeat."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Each question can be answered on the command line; what is left out is asked for."""
        for name, question in QUESTIONS.items():
            parser.add_argument(f"--{name.replace('_', '-')}", help=question)

    def handle(self, *args: Any, **options: Any) -> None:
        """Ask, make, print."""
        found = self._administrator()
        if found is None:
            found = self._make({name: options[name] for name in QUESTIONS})
        elif found.last_login is not None:
            self.stdout.write(f"There is an administrator already: {found.full_name} ({found.username}).")
            return
        program = found.memberships.filter(role=Role.ADMINISTRATOR)[0].program
        self._print(make_link(by=None, person=found, program=program))

    def _administrator(self) -> User | None:
        held = Membership.objects.filter(role=Role.ADMINISTRATOR, person__is_active=True).select_related(
            "person", "program"
        )
        now = [m.person for m in held if Membership.objects.filter(in_force(today_in(m.program)), pk=m.pk).exists()]
        return next((p for p in now if p.last_login), now[0] if now else None)

    def _make(self, given: dict[str, str | None]) -> User:
        answers = {name: self._answer(name, given[name]) for name in QUESTIONS}
        if answers["time_zone"] not in available_timezones():
            raise CommandError(f"“{answers['time_zone']}” is no time zone; write it like Europe/London.")
        if answers["email"]:
            try:
                validate_email(answers["email"])
            except ValidationError as error:
                raise CommandError(f"“{answers['email']}” is not an e-mail address.") from error
        try:
            return make_first(**answers)
        except PeopleError as error:
            raise CommandError(error.message) from error

    def _answer(self, name: str, given: str | None) -> str:
        answer = given
        if answer is None and name == "email" and not sys.stdin.isatty():
            answer = ""
        if answer is None:
            if not sys.stdin.isatty():
                raise CommandError(f"Say --{name.replace('_', '-')}, or run this in a terminal to be asked.")
            answer = input(f"{QUESTIONS[name]}: ")
        if not answer.strip() and name != "email":
            raise CommandError(f"{QUESTIONS[name]}: this may not stay empty.")
        return answer.strip()

    def _print(self, link: MadeLink) -> None:
        until = link.expires_at.astimezone(ZoneInfo("UTC"))
        self.stdout.write(f"First sign-in of {link.person.full_name} (user name {link.person.username}):")
        self.stdout.write(f"  {link.address}")
        self.stdout.write(
            f"The link opens the account once, until {until:%d %b %Y, %H:%M} UTC. Run this again for another."
        )


@action
def make_first(*, institution: str, program: str, time_zone: str, full_name: str, email: str) -> User:
    """The program, when it is not there yet, and its administrator, in one transaction. Raises PeopleError."""
    made, new = Program.objects.get_or_create(
        name=program, defaults={"institution": institution, "time_zone": time_zone}
    )
    if new:
        audit(by=None, act="program.made", subject=made, program=made)
    return add_person(
        by=None,
        full_name=full_name,
        email=email,
        program=made,
        role=Role.ADMINISTRATOR,
        cohort=None,
        starts=today_in(made),
    )
