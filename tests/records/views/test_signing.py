"""Signing from the tablet and moderating: the protocol's answers, the password, the limit, the seal at the end."""

from __future__ import annotations

from typing import Any

import pytest
from django.urls import reverse

from checkoffs.attempts.models import Attempt, Sheet
from checkoffs.records import tries
from checkoffs.records.models import RecordLeaf
from tests.records import infusion, make
from tests.world import World

PASSWORD = "evaluator-password-of-tests"


@pytest.fixture(autouse=True)
def _fresh(world: World) -> None:
    for person in world.people.values():
        tries.WRONG_PASSWORDS.forget(person.pk)


def _sign(client: Any, sheet: Sheet, **over: Any) -> Any:
    body = {"password": PASSWORD, "shown": "no_statement", "statement": "", "version": sheet.stored} | over
    address = reverse("records:sign", kwargs={"sheet_id": sheet.pk})
    return client.post(address, body, content_type="application/json")


def test_signing_seals(world: World, signed_in: Any) -> None:
    """The answer leads to the record; asked again, the same answer."""
    sheet = make.finished_infusion(world).sheets.get()
    client = signed_in("evaluator")
    answer = _sign(client, sheet, shown="statement", statement="I was nervous.")
    leaf = RecordLeaf.objects.get()
    expected = {"state": "sealed", "record": reverse("records:record", kwargs={"code": leaf.code}), "who": ""}
    assert (answer.status_code, answer.json()) == (200, expected)
    assert _sign(client, sheet).json() == expected
    assert RecordLeaf.objects.count() == 1


def test_wrong_password_signs_nothing_and_five_make_a_pause(world: World, signed_in: Any) -> None:
    """403 five times, then 429 even for the right one, until the five minutes are over."""
    sheet = make.finished_infusion(world).sheets.get()
    client = signed_in("evaluator")
    answers = [_sign(client, sheet, password="guess") for _ in range(5)]
    assert [(one.status_code, one.json()["code"]) for one in answers] == [(403, "wrong_password")] * 5
    last = _sign(client, sheet)
    assert (last.status_code, last.json()["code"]) == (429, "too_many")
    sheet.refresh_from_db()
    assert sheet.signed_at is None


def test_right_password_clears_the_count(world: World, signed_in: Any) -> None:
    """Four slips, then the right one: the next sheet starts with none counted."""
    sheet = make.finished_infusion(world).sheets.get()
    client = signed_in("evaluator")
    for _ in range(4):
        _sign(client, sheet, password="guess")
    assert _sign(client, sheet).status_code == 200
    assert not tries.WRONG_PASSWORDS.spent(world.evaluator.pk)


def test_server_without_all_events_does_not_sign(world: World, signed_in: Any) -> None:
    """The tablet believes in another number of stored events."""
    sheet = make.finished_infusion(world).sheets.get()
    answer = _sign(signed_in("evaluator"), sheet, version=sheet.stored + 1)
    assert (answer.status_code, answer.json()["code"], answer.json()["version"]) == (409, "behind", sheet.stored)


def test_open_step_has_to_be_settled_first(world: World, signed_in: Any) -> None:
    """A step that was never marked is named."""
    logged = [event for event in infusion.events() if event["payload"].get("step") != "s33"]
    sheet = make.finished_infusion(world, logged).sheets.get()
    answer = _sign(signed_in("evaluator"), sheet)
    assert (answer.status_code, answer.json()["code"]) == (409, "settle")
    assert answer.json()["settle"] == [{"type": "step", "id": "s33", "why": "step_open"}]


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"[]",
        b'{"password": "x"}',
        b'{"password": "x", "shown": "refused", "statement": "", "version": "1"}',
        b'{"password": 1, "shown": "refused", "statement": "", "version": 1}',
    ],
)
def test_malformed_bodies(world: World, signed_in: Any, body: bytes) -> None:
    """Each is 400 with a code, and writes nothing."""
    sheet = make.finished_infusion(world).sheets.get()
    address = reverse("records:sign", kwargs={"sheet_id": sheet.pk})
    answer = signed_in("evaluator").post(address, body, content_type="application/json")
    assert (answer.status_code, answer.json()["code"]) == (400, "malformed")


def test_second_signature_leads_to_moderation(world: World, signed_in: Any) -> None:
    """Waiting for the second evaluator by name, then moderation with who may decide."""
    attempt = make.in_moderation(world)
    answer = _sign(signed_in("evaluator"), attempt.sheets.get(kind="primary"))
    assert answer.json() == {"state": "moderation", "record": None, "who": "Piet Vandersteen and Ruth Okonjo"}


def _moderate(client: Any, attempt: Attempt, **data: str) -> Any:
    return client.post(reverse("records:moderate", kwargs={"attempt_id": attempt.pk}), {"do": "settle"} | data)


def test_moderation_page_shows_both_sheets(world: World, signed_in: Any) -> None:
    """What each saw at step 24, with times; the evaluators cannot open it."""
    attempt = make.in_moderation(world)
    address = reverse("records:moderate", kwargs={"attempt_id": attempt.pk})
    page = signed_in("instructor").get(address).content.decode()
    for part in ("Jo Castellane", "Mina Farrow", "performed, 15:00", "not performed, 16:13", "Scrubs the hub"):
        assert part in page
    assert signed_in("evaluator").get(address).status_code == 404


def test_settling_seals_with_the_reason(world: World, signed_in: Any) -> None:
    """Verdict, reason, password: the record follows and holds the reason."""
    attempt = make.in_moderation(world)
    answer = _moderate(
        signed_in("instructor"),
        attempt,
        **{
            "verdict-step:s24": "performed",
            "reason-step:s24": "Both say so on asking.",
            "password": "instructor-password-of-tests",
        },
    )
    leaf = RecordLeaf.objects.get()
    assert answer.headers["Location"] == reverse("records:record", kwargs={"code": leaf.code})
    assert leaf.outcome == "satisfactory"
    assert b"Both say so on asking." in bytes(leaf.content.canonical)


def test_settling_needs_reason_and_password(world: World, signed_in: Any) -> None:
    """Nothing chosen, no reason, wrong password: nothing is written and what was typed stays."""
    attempt = make.in_moderation(world)
    client = signed_in("instructor")
    assert _moderate(client, attempt).status_code == 400
    answer = _moderate(client, attempt, **{"verdict-step:s24": "performed", "reason-step:s24": " "})
    assert "Give the reason" in answer.content.decode()
    answer = _moderate(
        client, attempt, **{"verdict-step:s24": "performed", "reason-step:s24": "Typed.", "password": "guess"}
    )
    assert answer.status_code == 403
    assert "Typed." in answer.content.decode()
    assert not attempt.sheets.filter(kind="moderation").exists()


def test_coordinator_names_a_moderator(world: World, signed_in: Any) -> None:
    """Only who scored nothing is offered; the named one alone may settle then."""
    attempt = make.in_moderation(world)
    client = signed_in("coordinator")
    page = client.get(reverse("records:moderate", kwargs={"attempt_id": attempt.pk}))
    offered = set(page.context["assign"].fields["moderator"].queryset)
    assert world.evaluator not in offered
    assert world.second_instructor in offered
    address = reverse("records:moderate", kwargs={"attempt_id": attempt.pk})
    client.post(address, {"do": "assign", "moderator": world.second_instructor.pk})
    assert attempt.sheets.get(kind="moderation").evaluator == world.second_instructor
    page = signed_in("instructor").get(address)
    assert page.context["may_settle"] is False
    assert signed_in("second_instructor").get(address).context["may_settle"] is True
