"""The first administrator: from nothing to a link that opens; repeating it changes nothing."""

from __future__ import annotations

import io
import re
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse

from checkoffs.people.models import Membership, Program, User
from tests.world import World

ANSWERS = {
    "institution": "Harrowmere College",
    "program": "Practical Nursing",
    "time_zone": "Europe/London",
    "full_name": "Ansa Whitlow",
    "email": "ansa@harrowmere.example",
}


def run(**answers: Any) -> str:
    """What the command prints."""
    out = io.StringIO()
    call_command("first_administrator", stdout=out, **answers)
    return out.getvalue()


def test_from_nothing_to_signed_in(db: None) -> None:
    """The printed link opens the account; afterwards the command only says who is there."""
    token = re.search(r"/people/first/([^/\s]+)/", run(**ANSWERS)).group(1)  # type: ignore[union-attr]
    client = Client()
    client.get(reverse("people:first_sign_in", kwargs={"token": token}))
    words = {"new_password1": "seven quiet lanterns", "new_password2": "seven quiet lanterns"}
    client.post(reverse("people:first_password"), words)
    assert client.get("/people/").status_code == 200
    said = run(**ANSWERS)
    assert "already" in said
    assert "/people/first/" not in said
    assert (User.objects.count(), Program.objects.count()) == (1, 1)


def test_repeated_before_the_first_sign_in_it_makes_a_new_link(db: None) -> None:
    """For the one who lost the first."""
    first, second = run(**ANSWERS), run(**ANSWERS)
    assert "/people/first/" in second
    assert first != second
    assert Membership.objects.count() == 1


@pytest.mark.parametrize(
    ("answer", "words"),
    [({"time_zone": "Mars/North"}, "time zone"), ({"email": "nobody"}, "e-mail"), ({"full_name": " "}, "empty")],
)
def test_bad_answers_save_nothing(db: None, answer: dict[str, str], words: str) -> None:
    """And are named."""
    with pytest.raises(CommandError, match=words):
        run(**ANSWERS | answer)
    assert not Program.objects.exists()


def test_without_a_terminal_it_says_what_is_missing(db: None, monkeypatch: Any) -> None:
    """A build must not hang waiting for an answer."""
    monkeypatch.setattr("sys.stdin", io.StringIO())
    with pytest.raises(CommandError, match="--program"):
        run(institution="Harrowmere College")


def test_questions_are_asked(db: None, monkeypatch: Any) -> None:
    """In a terminal."""
    monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
    asked = iter(ANSWERS.values())
    monkeypatch.setattr("builtins.input", lambda _: next(asked))
    assert "Ansa Whitlow" in run()


def test_an_installation_with_people_keeps_them(world: World) -> None:
    """The demo's administrator, say, who never signed in, gets a link and nothing else changes."""
    before = User.objects.count()
    assert "Ansa Whitlow" in run()
    assert User.objects.count() == before
