"""What tablets get over HTTP: JSON with a code for every refusal, whoever asks and whatever is sent."""

from __future__ import annotations

import json
from typing import Any
from uuid import uuid4

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from checkoffs.attempts.models import Event, Purpose, Sheet
from checkoffs.attempts.sync import MOST_BYTES
from tests.attempts.make import ALL_DONE, Tablet, open_attempt
from tests.world import World

ACCEPT = {"Accept": "application/json"}


@pytest.fixture
def sheet(world: World) -> Sheet:
    return open_attempt(world).sheets.get()


def post(client: Client, name: str, sheet: Sheet, body: Any) -> Any:
    content = body if isinstance(body, bytes) else json.dumps(body).encode()
    address = reverse(f"attempts:{name}", args=[sheet.pk])
    return client.post(address, content, content_type="application/json", headers=ACCEPT)


def test_a_batch_over_http(signed_in: Any, sheet: Sheet) -> None:
    tablet = Tablet(sheet)
    events = tablet.run(ALL_DONE)
    client = signed_in("evaluator")
    answer = post(client, "events", sheet, tablet.body(events))
    assert answer.status_code == 200
    assert answer.json()["version"] == 5
    assert answer.headers["Cache-Control"] == "no-store, private"
    bundle = client.get(reverse("attempts:bundle", args=[sheet.pk]), headers=ACCEPT)
    assert bundle.json()["events"] == events
    assert "no-store" in bundle.headers["Cache-Control"]


@pytest.mark.parametrize("name", ["bundle", "events", "take_over"])
def test_strangers_get_401_as_json_and_a_page_as_browsers(signed_in: Any, sheet: Sheet, name: str) -> None:
    client, address = signed_in("anonymous"), reverse(f"attempts:{name}", args=[sheet.pk])
    send = client.get if name == "bundle" else client.post
    answer = send(address, headers=ACCEPT)
    assert (answer.status_code, answer.json()["code"]) == (401, "sign_in")
    assert send(address).status_code == 302


@pytest.mark.parametrize("name", ["bundle", "events", "take_over"])
def test_other_peoples_sheets_are_refused_in_json(world: World, signed_in: Any, sheet: Sheet, name: str) -> None:
    address = reverse(f"attempts:{name}", args=[sheet.pk])
    for kind, status, code in [
        ("second_evaluator", 403, "not_yours"),
        ("instructor", 403, "not_yours"),
        ("student", 404, "not_found"),
        ("fellow_student", 404, "not_found"),
        ("other_cohort_evaluator", 404, "not_found"),
        ("outsider", 404, "not_found"),
        ("technician", 404, "not_found"),
    ]:
        client = signed_in(kind)
        answer = (client.get if name == "bundle" else client.post)(address, headers=ACCEPT)
        assert (answer.status_code, answer.json()["code"]) == (status, code), kind


def test_a_fellow_student_sees_the_sheet_they_score_and_no_other(world: World, signed_in: Any, sheet: Sheet) -> None:
    mine = open_attempt(world, number=2, evaluator=world.fellow_student, purpose=Purpose.PRACTICE).sheets.get()
    client = signed_in("fellow_student")
    assert client.get(reverse("attempts:bundle", args=[mine.pk])).status_code == 200
    assert client.get(reverse("attempts:bundle", args=[sheet.pk]), headers=ACCEPT).status_code == 404
    scored_student = signed_in("student")
    assert scored_student.get(reverse("attempts:bundle", args=[mine.pk]), headers=ACCEPT).status_code == 404


def test_a_moderation_sheet_is_no_tablet_sheet(world: World, signed_in: Any, sheet: Sheet) -> None:
    moderation = Sheet.objects.create(
        attempt=sheet.attempt, kind="moderation", evaluator=world.instructor, opened_at=sheet.opened_at
    )
    answer = post(signed_in("instructor"), "events", moderation, Tablet(moderation).body([]))
    assert answer.status_code == 404


def test_without_a_csrf_token_the_answer_is_json(world: World, sheet: Sheet) -> None:
    client = Client(enforce_csrf_checks=True)
    client.force_login(world.evaluator, backend="allauth.account.auth_backends.AuthenticationBackend")
    answer = post(client, "events", sheet, Tablet(sheet).body([]))
    assert (answer.status_code, answer.json()["code"]) == (403, "csrf")
    client.get(reverse("attempts:bundle", args=[sheet.pk]))
    token = client.cookies["csrftoken"].value
    headers = ACCEPT | {"X-CSRFToken": token}
    address = reverse("attempts:events", args=[sheet.pk])
    body = json.dumps(Tablet(sheet).body([]))
    assert client.post(address, body, content_type="application/json", headers=headers).status_code == 200


def test_too_large_is_413_before_it_is_read(signed_in: Any, sheet: Sheet) -> None:
    client = signed_in("evaluator")
    assert post(client, "events", sheet, b" " * (MOST_BYTES + 1)).status_code == 413
    assert post(client, "events", sheet, b"x" * 3_000_000).status_code == 413


def test_conflicts_say_both_digests(signed_in: Any, sheet: Sheet) -> None:
    tablet, client = Tablet(sheet), signed_in("evaluator")
    event = tablet.event("started")
    post(client, "events", sheet, tablet.body([event]))
    answer = post(client, "events", sheet, tablet.body([event | {"at_ms": 4}]))
    assert answer.status_code == 409
    assert answer.json()["code"] == "conflict"
    assert answer.json()["stored"] != answer.json()["sent"]


def test_taking_over_says_from_where(signed_in: Any, sheet: Sheet) -> None:
    client, first, second = signed_in("evaluator"), Tablet(sheet), str(uuid4())
    post(client, "events", sheet, first.body([first.event("started")]))
    answer = post(client, "take_over", sheet, {"device": second})
    assert answer.json() == {"sheet": str(sheet.pk), "device": second, "from": first.device, "version": 1}
    refused = post(client, "events", sheet, first.body([first.event("finished", {}, 9)]))
    assert (refused.status_code, refused.json()["code"], refused.json()["holder"]) == (409, "other_device", second)


@pytest.mark.parametrize("body", [b"", b"[]", b'{"device": 5}', b'{"device": "x"}', b"[" * 5000, b"null"])
def test_taking_over_without_a_device_is_malformed(signed_in: Any, sheet: Sheet, body: bytes) -> None:
    assert post(signed_in("evaluator"), "take_over", sheet, body).status_code == 400


@pytest.mark.parametrize("content_type", ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data"])
def test_only_json_is_read(signed_in: Any, sheet: Sheet, content_type: str) -> None:
    client, address = signed_in("evaluator"), reverse("attempts:events", args=[sheet.pk])
    assert client.post(address, b"{}", content_type=content_type, headers=ACCEPT).status_code == 400


def test_the_page_carries_no_name_and_no_answer(world: World, signed_in: Any, sheet: Sheet) -> None:
    page = signed_in("evaluator").get(reverse("attempts:sheet", args=[sheet.pk]))
    text = page.content.decode()
    assert page.status_code == 200
    assert "csrftoken" in page.cookies
    for name in (world.student.full_name, world.student.called, world.evaluator.full_name):
        assert name not in text


def test_a_tap_costs_a_constant_and_small_number_of_queries(signed_in: Any, sheet: Sheet) -> None:
    tablet, client = Tablet(sheet), signed_in("evaluator")
    post(client, "events", sheet, tablet.body([tablet.event("started")]))
    counts = []
    for size in (1, 3):
        events = [tablet.event("noted", {"text": "x"}, 5) for _ in range(size)]
        with CaptureQueriesContext(connection) as seen:
            assert post(client, "events", sheet, tablet.body(events)).status_code == 200
        counts.append(len(seen))
    assert counts[0] == counts[1] <= 14  # PostgreSQL asks for the lock of the audit chain, too


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=6), inner, max_size=4),
    max_leaves=10,
)
BODIES = (
    st.binary(max_size=60)
    | JSON.map(lambda value: json.dumps(value).encode())
    | st.builds(
        lambda events: json.dumps({"device": str(uuid4()), "events": events}).encode(), st.lists(JSON, min_size=1)
    )
)


@settings(max_examples=120, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(BODIES)
def test_garbage_is_answered_with_400(signed_in: Any, sheet: Sheet, body: bytes) -> None:
    answer = post(signed_in("evaluator"), "events", sheet, body)
    assert answer.status_code == 400
    assert answer.json()["code"]
    assert not Event.objects.exists()
