"""Home without a role, help for everyone, health, and the pages of errors."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from django.test import Client

from checkoffs.people.models import Membership
from tests.world import World


def test_without_a_role_home_says_whom_to_ask(world: World, signed_in: Any) -> None:
    """A role that ended yesterday or begins tomorrow gives nothing today."""
    client = signed_in("evaluator")
    Membership.objects.filter(person=world.evaluator).update(ends=date(2026, 1, 6))
    response = client.get("/")
    assert response.status_code == 200
    assert "You have no role today" in response.content.decode()
    assert not response.context["nav_items"]


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("evaluator", "At the station"),
        ("technician", "At the door"),
        ("coordinator", "Planning a day"),
        ("administrator", "Entering people"),
        ("instructor", "Writing procedures"),
        ("student", "Your attempts"),
        ("anonymous", "Signing in"),
    ],
)
def test_help_speaks_to_each_role(world: World, signed_in: Any, kind: str, words: str) -> None:
    """And shows the marks to all."""
    text = signed_in(kind).get("/help/").content.decode()
    assert words in text
    assert "self-corrected" in text


def test_health_answers(db: None) -> None:
    """Without signing in."""
    assert Client().get("/health/").json() == {"status": "ok"}


def test_a_page_that_does_not_exist(world: World, signed_in: Any) -> None:
    """404 within the frame."""
    response = signed_in("student").get("/nowhere/")
    assert response.status_code == 404
    assert "Stepwitness" in response.content.decode()


def test_an_old_form_says_that_nothing_was_saved(world: World) -> None:
    """For people a page, for the tablet JSON."""
    client = Client(enforce_csrf_checks=True)
    client.force_login(world.coordinator, backend="allauth.account.auth_backends.AuthenticationBackend")
    assert client.post("/people/add/", {}).status_code == 403
    answer = client.post("/people/add/", {}, headers={"Accept": "application/json"})
    assert (answer.status_code, answer.json()["code"]) == (403, "csrf")
