"""One-time links for a first sign-in. The token leaves the server once; only its digest is kept."""

from __future__ import annotations

import hashlib
import secrets
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.conf import settings
from django.urls import reverse
from django.utils import timezone

from checkoffs.ledger.actions import action, audit
from checkoffs.people.models import Program, SignInLink, User

VALID_FOR = timedelta(days=14)


class LinkError(Exception):
    """A link that opens nothing; ``code`` is unknown, used, expired or inactive."""

    def __init__(self, code: str) -> None:
        super().__init__(code)
        self.code = code


@dataclass(frozen=True)
class MadeLink:
    """A link just made: the only moment at which its address is known."""

    person: User
    address: str
    expires_at: datetime


def token_digest(token: str) -> str:
    """SHA-256 of a token, hex; what the table holds."""
    return hashlib.sha256(token.encode()).hexdigest()


@action
def make_link(*, by: User | None, person: User, program: Program | None) -> MadeLink:
    """Make one link for a person and close the ones made before. ``by`` None: made by the server's own command."""
    now = timezone.now()
    SignInLink.objects.filter(person=person, used_at=None, expires_at__gt=now).update(expires_at=now)
    token = secrets.token_urlsafe(32)
    link = SignInLink.objects.create(
        person=person, token_digest=token_digest(token), made_by=by or person, expires_at=now + VALID_FOR
    )
    audit(by=by, act="person.link_made", subject=person, program=program, detail={"link": link.pk})
    path = reverse("people:first_sign_in", kwargs={"token": token})
    return MadeLink(person, settings.ORIGIN + path, link.expires_at)


@action
def make_links(*, by: User, people: Iterable[tuple[User, Program | None]]) -> list[MadeLink]:
    """One link for each person, told with the program whose trail says so; all or none."""
    return [make_link(by=by, person=person, program=program) for person, program in people]


def find_link(token: str) -> SignInLink:
    """The open link a token belongs to. Raises LinkError."""
    found = SignInLink.objects.select_related("person").filter(token_digest=token_digest(token)).first()
    if found is None:
        raise LinkError("unknown")
    if found.used_at is not None:
        raise LinkError("used")
    if found.expires_at <= timezone.now():
        raise LinkError("expired")
    if not found.person.is_active:
        raise LinkError("inactive")
    return found


@action
def use_link(*, token: str, password: str) -> User:
    """Set the password and use the link up; of two people who send at the same time, one gets LinkError('used')."""
    link = find_link(token)
    taken = SignInLink.objects.filter(pk=link.pk, used_at=None).update(used_at=timezone.now())
    if not taken:
        raise LinkError("used")
    person = link.person
    person.set_password(password)
    person.save(update_fields=["password"])
    held = person.memberships.select_related("program").first()
    audit(
        by=person,
        act="person.first_sign_in",
        subject=person,
        program=held.program if held else None,
        detail={"link": link.pk},
    )
    return person
