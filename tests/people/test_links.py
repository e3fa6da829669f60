"""One-time links: 14 days, once, only a digest kept, nothing told to other pages.

Source: SHA-256 by the standard library beside ours; single use and expiry are *common practice* (NIST SP 800-63B
look-up secrets are used once).
"""

from __future__ import annotations

import hashlib
from datetime import timedelta
from typing import Any

import pytest
from django.core.cache import cache
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from checkoffs.people import links, rate
from checkoffs.people.links import LinkError, find_link, make_link, use_link
from checkoffs.people.models import SignInLink
from tests.world import World

PASSWORD = "seven quiet lanterns"


@pytest.fixture(autouse=True)
def _forget_wrong_tries() -> Any:
    cache.clear()
    yield
    cache.clear()


def made(world: World) -> str:
    """The token of a fresh link for the student."""
    link = make_link(by=world.coordinator, person=world.student, program=world.program)
    return link.address.rstrip("/").rpartition("/")[2]


def test_only_the_digest_is_kept(world: World) -> None:
    """The token is in no column, and lasts 14 days."""
    token = made(world)
    row = SignInLink.objects.get()
    assert row.token_digest == hashlib.sha256(token.encode()).hexdigest()
    assert token not in str(SignInLink.objects.values_list())
    assert timedelta(days=13, hours=23) < row.expires_at - timezone.now() <= timedelta(days=14)


@pytest.mark.parametrize("spoil", ["used", "expired", "inactive", "unknown", "replaced"])
def test_links_that_open_nothing(world: World, spoil: str) -> None:
    """Each says why."""
    token = made(world)
    code = spoil
    if spoil == "used":
        use_link(token=token, password=PASSWORD)
    elif spoil == "expired":
        SignInLink.objects.update(expires_at=timezone.now())
    elif spoil == "inactive":
        world.student.is_active = False
        world.student.save()
    elif spoil == "unknown":
        token += "x"
    else:
        made(world)
        code = "expired"
    with pytest.raises(LinkError) as caught:
        find_link(token)
    assert caught.value.code == code
    with pytest.raises(LinkError):
        use_link(token=token, password=PASSWORD)


def test_the_second_of_two_at_once_is_refused(world: World, monkeypatch: Any) -> None:
    """Both have seen the link open; the database lets one through."""
    token = made(world)
    seen = find_link(token)
    monkeypatch.setattr(links, "find_link", lambda _: seen)
    use_link(token=token, password=PASSWORD)
    with pytest.raises(LinkError, match="used"):
        use_link(token=token, password="another five words here")


def test_first_sign_in_from_paper_to_home(world: World) -> None:
    """The address is typed, the token leaves it at once, a password is chosen, the person is in."""
    token, client = made(world), Client()
    first = client.get(reverse("people:first_sign_in", kwargs={"token": token}))
    assert first.headers["Referrer-Policy"] == "no-referrer"
    assert first.headers["Location"] == reverse("people:first_password")
    page = client.get(first.headers["Location"])
    # not "no-referrer" here: browsers would then send the form with a null origin, which is refused as forged
    assert page.headers["Referrer-Policy"] == "same-origin"
    assert "no-store" in page.headers["Cache-Control"]
    assert token not in page.content.decode()
    short = client.post(reverse("people:first_password"), {"new_password1": "short", "new_password2": "short"})
    assert short.status_code == 200  # the link survives a password that is refused
    done = client.post(reverse("people:first_password"), {"new_password1": PASSWORD, "new_password2": PASSWORD})
    assert done.headers["Location"] == reverse("site:home")
    world.student.refresh_from_db()
    assert world.student.check_password(PASSWORD)
    assert client.get(reverse("attempts:open")).status_code == 200
    again = Client()
    again.get(reverse("people:first_sign_in", kwargs={"token": token}))
    assert again.get(reverse("people:first_password")).status_code == 410


def test_looking_does_not_use_it_up(world: World) -> None:
    """A mail scanner or a second look must not spend the link."""
    token = made(world)
    for _ in range(3):
        client = Client()
        client.get(reverse("people:first_sign_in", kwargs={"token": token}))
        assert client.get(reverse("people:first_password")).status_code == 200


def test_guessing_is_slowed(world: World) -> None:
    """After twenty wrong links the address waits, even with a right one."""
    client = Client()
    for _ in range(rate.WRONG_TRIES):
        client.get(reverse("people:first_sign_in", kwargs={"token": "wrong"}))
        assert client.get(reverse("people:first_password")).status_code == 404
    client.get(reverse("people:first_sign_in", kwargs={"token": made(world)}))
    assert client.get(reverse("people:first_password")).status_code == 429
