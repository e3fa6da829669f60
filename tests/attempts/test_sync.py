"""The sync protocol: every event kept exactly once, or nothing of a batch; never a crash, whatever is sent.

Sources: UUIDv7 and the canonical form of UUIDs, RFC 9562; canonical JSON, RFC 8785; SHA-256, FIPS 180-4. That a
client repeats the same key after a lost answer and gets the same result is *common practice* (idempotency keys).
"""

from __future__ import annotations

import contextlib
import hashlib
import json
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier, Lock
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from uuid6 import uuid7

from checkoffs.attempts.errors import SyncError
from checkoffs.attempts.eventlog import as_dict, digest, server_device
from checkoffs.attempts.models import Event, Sheet
from checkoffs.attempts.queries import decision_of, sheet_state
from checkoffs.attempts.sync import MOST_BYTES, MOST_EVENTS, read_batch, store_batch
from checkoffs.cases.actions import draw_case
from checkoffs.ledger.models import AuditEntry
from checkoffs.ledger.queries import first_broken_entry
from tests.attempts.make import ALL_DONE, Tablet, open_attempt, stated_version
from tests.cases.make import pump_template
from tests.world import World, make_world


@pytest.fixture
def sheet(world: World) -> Sheet:
    return open_attempt(world).sheets.get()


@pytest.fixture
def stating(world: World) -> Sheet:
    """A sheet whose student states a rate: 5 mcg/kg/min at 83 kg from 400 mg in 250 mL is 15.5625 mL/h."""
    version = stated_version(world)
    template = pump_template(
        world,
        version.procedure,
        fields={
            "dose": {"fixed": "5 mcg/kg/min"},
            "weight": {"fixed": "83 kg"},
            "drug_amount": {"fixed": "400 mg"},
            "volume": {"fixed": "250 mL"},
            "reserve": {"fixed": "20 mL"},
        },
    )
    case = draw_case(by=world.evaluator, template=template, seed=1)
    return open_attempt(world, version=version, case=case).sheets.get()


def refused(call: Any, *args: Any, **kwargs: Any) -> SyncError:
    with pytest.raises(SyncError) as caught:
        call(*args, **kwargs)
    return caught.value


def test_a_batch_is_kept_with_its_digests(sheet: Sheet) -> None:
    tablet = Tablet(sheet)
    events = tablet.run(ALL_DONE)
    answer = tablet.send(events)
    assert answer["results"] == [{"id": event["id"], "status": "stored"} for event in events]
    assert answer["version"] == 5
    sheet.refresh_from_db()
    assert (sheet.stored, str(sheet.device)) == (5, tablet.device)
    for row, sent in zip(Event.objects.order_by("seq"), events, strict=True):
        assert as_dict(row) == sent
        assert row.digest == digest(sent)
    assert decision_of(sheet.attempt)["outcome"] == "satisfactory"


def test_the_digest_is_over_keys_in_order_without_spaces() -> None:
    """For ASCII keys and whole numbers RFC 8785 is what json.dumps gives with sorted keys and no spaces."""
    event = {"b": 1, "a": {"y": "é", "x": None}}
    text = json.dumps(event, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    assert digest(event) == hashlib.sha256(text.encode()).hexdigest()


def test_the_same_batch_again_changes_nothing(sheet: Sheet) -> None:
    tablet = Tablet(sheet)
    events = tablet.run(ALL_DONE)
    tablet.send(events)
    again = tablet.send(events)
    assert {one["status"] for one in again["results"]} == {"already"}
    assert again["version"] == Event.objects.count() == 5


def test_a_batch_that_overlaps_keeps_only_what_is_new(sheet: Sheet) -> None:
    tablet = Tablet(sheet)
    events = tablet.run(ALL_DONE)
    tablet.send(events[:3])
    answer = tablet.send([events[4], events[2], events[3], events[3]])
    assert [one["status"] for one in answer["results"]] == ["stored", "already", "stored", "already"]
    assert sheet_state(sheet)["status"] == "finished"


def test_the_same_id_with_other_content_is_a_conflict_with_both_digests(sheet: Sheet) -> None:
    tablet = Tablet(sheet)
    event = tablet.event("started")
    tablet.send([event])
    other = event | {"at_ms": 5}
    error = refused(tablet.send, [tablet.event("finished", {}, 9), other])
    assert (error.status, error.code) == (409, "conflict")
    assert error.as_dict() | {"message": ""} == {
        "code": "conflict", "message": "", "index": 1, "id": event["id"],
        "stored": digest(event), "sent": digest(other),
    }  # fmt: skip
    assert Event.objects.count() == 1


def test_one_count_for_two_events_is_a_conflict(sheet: Sheet) -> None:
    tablet = Tablet(sheet)
    first = tablet.event("started")
    tablet.send([first])
    second = tablet.event("finished", {}, 9, seq=1)
    error = refused(tablet.send, [second])
    assert (error.status, error.code) == (409, "seq_taken")
    assert (error.more["stored"], error.more["sent"]) == (digest(first), digest(second))
    twins = [tablet.event("paused", {"reason": ""}, 4, seq=9), tablet.event("resumed", {}, 5, seq=9)]
    assert refused(tablet.send, twins).code == "seq_taken"
    assert Event.objects.count() == 1


def test_an_id_kept_on_another_sheet_is_a_conflict(world: World, sheet: Sheet) -> None:
    elsewhere = open_attempt(world, student=world.fellow_student).sheets.get()
    tablet, other = Tablet(sheet), Tablet(elsewhere)
    event = tablet.event("started")
    tablet.send([event])
    assert refused(other.send, [other.event("started", id=event["id"])]).code == "conflict"


@pytest.mark.parametrize(
    ("changes", "status", "code", "field"),
    [
        ({"kind": "danced"}, 400, "unknown_kind", "kind"),
        ({"payload": {"step": "zz", "mark": "performed"}}, 400, "unknown_step", "payload.step"),
        ({"payload": {"step": "a1", "mark": "done"}}, 400, "unknown_mark", "payload.mark"),
        ({"payload": {"step": "a1", "mark": "performed", "colour": 1}}, 400, "unknown_field", "payload.colour"),
        ({"at_ms": -1}, 400, "not_a_whole_number", "at_ms"),
        ({"at_ms": 1.5}, 400, "not_a_whole_number", "at_ms"),
        ({"seq": 2**31}, 400, "malformed", "seq"),
        ({"id": str(uuid4())}, 400, "malformed", "id"),
        ({"id": "{" + str(uuid7()) + "}"}, 400, "malformed", "id"),
        ({"sheet": str(uuid7())}, 400, "wrong_sheet", "sheet"),
        ({"device": str(uuid4())}, 400, "wrong_device", "device"),
        ({"source": "server"}, 400, "wrong_source", "source"),
        ({"by": str(uuid4())}, 403, "not_yours", "by"),
        ({"payload": {"step": "a1", "mark": "performed", "reason": "a\x00b"}}, 400, "not_a_text", "payload"),
        ({"payload": {"step": "a1", "mark": "performed", "reason": "\ud800"}}, 400, "not_a_text", "payload"),
        ({"payload": {"step": "a1", "mark": "said", "after_outcome": True}}, 400, "missing", "payload.reason"),
    ],
)
def test_one_bad_event_stops_the_batch_and_is_named(
    sheet: Sheet, changes: dict[str, Any], status: int, code: str, field: str
) -> None:
    tablet = Tablet(sheet)
    good = tablet.event("started")
    bad = tablet.event("marked", {"step": "a1", "mark": "performed"}, 5) | changes
    error = refused(tablet.send, [good, bad])
    assert (error.status, error.code, error.field, error.more["index"]) == (status, code, field, 1)
    assert not Event.objects.exists()


def test_a_change_after_the_outcome_is_kept_with_its_reason(sheet: Sheet) -> None:
    tablet = Tablet(sheet)
    payload = {"step": "a1", "mark": "said", "after_outcome": True, "reason": "saw it on second thought"}
    tablet.send([tablet.event("started"), tablet.event("marked", payload, 3)])
    assert Event.objects.get(kind="marked").payload == payload


def test_nobody_writes_under_the_servers_device(sheet: Sheet) -> None:
    tablet = Tablet(sheet, device=str(server_device(sheet.pk)))
    assert refused(tablet.send, [tablet.event("started")]).code == "wrong_device"


def test_what_cannot_be_taken_back_is_refused_so_that_the_log_always_folds(sheet: Sheet) -> None:
    tablet = Tablet(sheet)
    started = tablet.event("started")
    tablet.send([started])
    note = tablet.event("noted", {"text": "calm"}, 4)
    error = refused(tablet.send, [note, tablet.event("retracted", {"event": started["id"]}, 5)])
    assert (error.code, error.more["index"]) == ("not_retractable", 1)
    later = tablet.event("revealed", {"check": "rate"})
    assert refused(tablet.send, [later]).code == "unknown_check"
    assert sheet_state(sheet)["status"] == "running"


def test_a_retraction_may_come_before_what_it_takes_back(sheet: Sheet) -> None:
    tablet = Tablet(sheet)
    mark = tablet.event("marked", {"step": "a1", "mark": "performed"}, 5)
    tablet.send([tablet.event("started"), tablet.event("retracted", {"event": mark["id"]}, 6)])
    tablet.send([mark])
    assert sheet_state(sheet)["steps"]["a1"]["mark"] is None
    unsound = tablet.event("resumed", {}, 7)
    tablet.send([tablet.event("retracted", {"event": unsound["id"]}, 8)])
    assert (
        refused(tablet.send, [tablet.event("handed_over", {"to": "x"}, 7, id=unsound["id"])]).code
        == "not_retractable"
    )


def test_another_device_has_to_take_over_but_may_repeat_what_was_kept(sheet: Sheet) -> None:
    first = Tablet(sheet)
    started = first.event("started")
    first.send([started])
    second = Tablet(sheet)
    error = refused(second.send, [second.event("finished", {}, 9)])
    assert (error.status, error.code, error.more["holder"]) == (409, "other_device", first.device)
    Sheet.objects.update(device=UUID(second.device))
    second.send([second.event("finished", {}, 9)])
    assert first.send([started])["results"] == [{"id": started["id"], "status": "already"}]


def test_what_comes_after_the_signature_is_kept_as_late_and_changes_nothing(sheet: Sheet) -> None:
    tablet = Tablet(sheet)
    tablet.send(tablet.run(ALL_DONE))
    sheet.refresh_from_db()
    sheet.signed_at = sheet.opened_at
    sheet.save()
    before = sheet_state(sheet)
    drawer = Tablet(sheet)
    event = drawer.event("marked", {"step": "a2", "mark": "not_performed"}, 30_000)
    answer = drawer.send([event])
    assert answer["results"] == [{"id": event["id"], "status": "stored", "late": True}]
    assert Event.objects.get(pk=event["id"]).late
    sheet.refresh_from_db()
    assert (sheet.late, sheet.stored) == (1, 6)
    assert sheet_state(sheet) == before


def test_each_statement_is_verified_against_the_frozen_key(stating: Sheet) -> None:
    """5 × 83 × 60 ÷ 1,600 = 15.5625 by hand; stated to a tenth 15.6. In pounds taken as kilograms it is not."""
    tablet = Tablet(stating)
    wrong = tablet.event("stated", {"check": "rate", "number": "34.2", "unit": "mL/h"}, 10)
    right = tablet.event("stated", {"check": "rate", "number": "15.6", "unit": "mL/h"}, 20)
    answer = tablet.send([tablet.event("started"), wrong, right])
    assert [(e["payload"]["statement"], e["payload"]["verdict"]["code"]) for e in answer["added"]] == [
        (wrong["id"], "wrong"),
        (right["id"], "right"),
    ]
    assert [(e["source"], e["seq"], e["at_ms"]) for e in answer["added"]] == [("server", 1, 10), ("server", 2, 20)]
    assert answer["version"] == 5
    assert sheet_state(stating)["stated"]["rate"]["verdict"]["code"] == "right"
    bare = tablet.event("stated", {"check": "rate", "number": "15.6", "unit": None}, 30)
    assert tablet.send([bare])["added"][0]["seq"] == 3


def test_verdicts_come_again_when_the_answer_was_lost(stating: Sheet) -> None:
    tablet = Tablet(stating)
    said = tablet.event("stated", {"check": "rate", "number": "15.6", "unit": "mL/h"}, 10)
    first = tablet.send([tablet.event("started"), said])
    assert tablet.send([said])["added"] == first["added"]


@pytest.mark.parametrize(
    ("body", "status", "code"),
    [
        (b"", 400, "not_json"),
        (b"\xff\xfe", 400, "not_json"),
        (b"[" * 100_000, 400, "not_json"),
        (b'{"device": NaN, "events": []}', 400, "not_json"),
        (b"[]", 400, "malformed"),
        (b'{"device": "x", "events": []}', 400, "malformed"),
        (b'{"device": "' + b"3f0c2a52-6d0e-4c53-9d6a-0f7a1f1f6c11" + b'", "events": {}}', 400, "malformed"),
        (b" " * (MOST_BYTES + 1), 413, "too_large"),
        (
            json.dumps(
                {"device": "3f0c2a52-6d0e-4c53-9d6a-0f7a1f1f6c11", "events": [1] * (MOST_EVENTS + 1)}
            ).encode(),
            413,
            "too_large",
        ),
        (b'{"device": 1' + b"0" * 5000 + b', "events": []}', 400, "not_json"),
    ],
)
def test_bodies_beyond_shape_or_bounds(body: bytes, status: int, code: str) -> None:
    error = refused(read_batch, body)
    assert (error.status, error.code) == (status, code)


def test_queries_do_not_grow_with_the_batch(sheet: Sheet) -> None:
    tablet = Tablet(sheet)
    tablet.send([tablet.event("started")])
    counts = []
    for size in (1, 3, 40):
        events = [tablet.event("noted", {"text": "x"}, 5) for _ in range(size)]
        with CaptureQueriesContext(
            connection,
        ) as seen:
            tablet.send(events)
        counts.append(len(seen))
    assert counts[0] == counts[1] == counts[2]


VALUES = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(max_size=6)
    | st.sampled_from(["a1", "performed", "marked", "stated", "rate", "pair", "retracted", "tablet", "paper"]),
    lambda inner: st.lists(inner, max_size=3)
    | st.dictionaries(st.sampled_from(["type", "id", "step", "mark", "check", "about", "event", "unit"]), inner),
    max_leaves=8,
)  # fmt: skip
FIELDS = ["id", "sheet", "by", "device", "seq", "at_ms", "wall", "kind", "payload", "source"]


@pytest.mark.django_db
@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.dictionaries(st.sampled_from([*FIELDS, "x"]), VALUES, max_size=4), max_size=3), st.data())
def test_garbage_is_refused_or_folds(db: None, changes: list[dict[str, Any]], data: st.DataObject) -> None:
    """Sound events with random parts replaced: either a refusal with a code, or a log that still folds."""
    if not Sheet.objects.exists():
        open_attempt(make_world(), version=None)
    sheet = Sheet.objects.get()
    tablet = Tablet(sheet, device=str(sheet.device) if sheet.device else None)
    tablet.seq = Event.objects.filter(device=tablet.device).count()
    kinds = data.draw(st.lists(st.sampled_from(SOUND), min_size=len(changes), max_size=len(changes)))
    events = [tablet.event(kind, payload, 5) | change for (kind, payload), change in zip(kinds, changes, strict=True)]
    with contextlib.suppress(SyncError):
        tablet.send(events)
    assert decision_of(sheet.attempt)["outcome"]


SOUND: list[tuple[str, dict[str, Any]]] = [
    ("started", {}),
    ("marked", {"step": "a1", "mark": "performed"}),
    ("settled", {"about": {"type": "pair", "id": "p1"}, "verdict": "kept", "reason": "seen"}),
    ("retracted", {"event": str(uuid7())}),
    ("breach", {"kind": "asepsis"}),
    ("clock_bridged", {"before_ms": 4, "after_ms": 9, "how": "wall"}),
]


def at_once(sheet: Sheet, bodies: list[dict[str, Any]]) -> list[dict[str, Any] | str]:
    """Store bodies of one sheet from as many threads, let go together; answers or codes of refusal.

    Everything that is only read is loaded before, because the tests' SQLite lives in memory, where a reader and a
    writer of two connections cannot meet.
    """
    ready, opening = Barrier(len(bodies)), Lock()
    sheet = Sheet.objects.select_related("attempt__version", "attempt__case", "evaluator").get(pk=sheet.pk)

    def send(body: dict[str, Any]) -> dict[str, Any] | str:
        with opening:
            connection.ensure_connection()
        ready.wait()
        try:
            return store_batch(by=sheet.evaluator, sheet=sheet, batch=read_batch(json.dumps(body).encode()))
        except SyncError as error:
            return error.code
        finally:
            with opening:
                connection.close()

    with ThreadPoolExecutor(len(bodies)) as pool:
        return list(pool.map(send, bodies))


@pytest.mark.django_db(transaction=True)
def test_the_same_batch_four_times_at_once_is_kept_once() -> None:
    tablet = Tablet(open_attempt(make_world()).sheets.get())
    answers = at_once(tablet.sheet, [tablet.body(tablet.run(ALL_DONE))] * 4)
    statuses = sorted({one["status"] for one in answer["results"]}.pop() for answer in answers)  # type: ignore[index]
    assert statuses == ["already", "already", "already", "stored"]
    assert {answer["version"] for answer in answers} == {5}  # type: ignore[index]
    assert Event.objects.count() == 5


@pytest.mark.django_db(transaction=True)
def test_one_id_with_different_content_at_once_leaves_one_and_conflicts() -> None:
    tablet = Tablet(open_attempt(make_world()).sheets.get())
    event = tablet.event("started")
    answers = at_once(tablet.sheet, [tablet.body([event | {"at_ms": at_ms}]) for at_ms in range(4)])
    assert sorted(answer for answer in answers if isinstance(answer, str)) == ["conflict"] * 3
    assert Event.objects.count() == 1


def test_each_batch_leaves_one_audit_entry_that_ties_its_events(world: World) -> None:
    sheet = open_attempt(world).sheets.get()
    tablet = Tablet(sheet)
    events = [tablet.event("started"), tablet.event("noted", {"text": "seen"}, 5)]
    batch = read_batch(json.dumps({"device": tablet.device, "events": events}).encode())
    store_batch(by=world.evaluator, sheet=sheet, batch=batch)
    store_batch(by=world.evaluator, sheet=sheet, batch=batch)  # the same again: nothing is written
    entry = AuditEntry.objects.get(act="events.kept", subject_id=str(sheet.pk))
    digests = "".join(sheet.events.order_by("seq").values_list("digest", flat=True))
    assert entry.detail["events"] == 2
    assert entry.detail["digest"] == hashlib.sha256(digests.encode()).hexdigest()
    assert first_broken_entry() is None
