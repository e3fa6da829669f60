"""Navigation by right, one current entry, and the page each role begins with."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import RequestFactory
from django.urls import NoReverseMatch, reverse

from checkoffs.people.models import Membership
from checkoffs.people.permissions import Access
from checkoffs.site import frame
from tests.world import World

BEGINS = {
    "administrator": "people:list",
    "coordinator": "reports:cohort_list",
    "instructor": "days:today",
    "evaluator": "days:today",
    "technician": "days:list",
    "student": "review:mine",
}


def here(world: World, kind: str, path: str) -> dict[str, Any]:
    """The frame of a page as one person sees it."""
    request = RequestFactory().get(path)
    request.user = world.people[kind]
    request.access = Access.of(world.people[kind])  # type: ignore[attr-defined]
    return frame.frame(request)


@pytest.mark.parametrize("kind", BEGINS)
def test_first_pages(world: World, signed_in: Any, kind: str) -> None:
    """Home leads there, and the page is open to the person."""
    client = signed_in(kind)
    response = client.get("/")
    assert response.headers["Location"] == reverse(BEGINS[kind])
    assert client.get(response.headers["Location"]).status_code == 200


@pytest.mark.parametrize("kind", BEGINS)
def test_every_entry_of_the_navigation_is_open(world: World, signed_in: Any, kind: str) -> None:
    """Nobody is shown a way to a page that refuses them."""
    client = signed_in(kind)
    items = here(world, kind, "/")["nav_items"]
    assert items
    assert {client.get(item["url"]).status_code for item in items} == {200}


def test_entries_exist(world: World) -> None:
    """A misspelt name would silently leave an entry out."""
    for _, name, _ in frame.NAVIGATION:
        try:
            reverse(name)
        except NoReverseMatch:
            pytest.fail(f"the navigation names {name}, which does not exist")


@pytest.mark.parametrize(
    ("path", "label"),
    [
        ("/people/", "People"),
        ("/people/audit/", "Audit"),
        ("/people/add/", "People"),
        ("/days/7/", "Days"),
        ("/help/", None),
    ],
)
def test_one_entry_is_current(world: World, path: str, label: str | None) -> None:
    """The longest address that leads to the page."""
    current = [item["label"] for item in here(world, "coordinator", path)["nav_items"] if item["current"]]
    assert current == ([label] if label else [])


def test_who_is_signed_in(world: World) -> None:
    """Name and roles, each role once."""
    Membership.objects.create(
        person=world.coordinator, program=world.program, cohort=world.cohort, role="coordinator", starts="2026-01-05"
    )
    assert here(world, "coordinator", "/")["person_label"] == "Odile Brannagh, coordinator"
