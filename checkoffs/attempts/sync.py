"""The sync protocol: a device sends a batch of events for one sheet; each is kept exactly once, or nothing of it is.

The same batch may come any number of times: what is there already is answered with ``already``. The same id with
other content, or a device's count used twice, is a conflict and stops the batch.
"""

from __future__ import annotations

import hashlib
import json
import re
import uuid
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import rfc8785
from django.db import IntegrityError
from django.db.models import F, Q
from django.utils import timezone

import calculators
from checkoffs.attempts.errors import SyncError
from checkoffs.attempts.eventlog import as_dict, as_row, by_server, digest, server_device
from checkoffs.attempts.models import Event, Sheet
from checkoffs.attempts.queries import rule_of
from checkoffs.ledger.actions import audit
from checkoffs.ledger.gate import writing
from checkoffs.people.models import User
from checkoffs.scoring.errors import ScoringError
from checkoffs.scoring.events import parse_event, parse_log
from checkoffs.scoring.rule_parts import Rule
from checkoffs.scoring.standing import standing

MOST_EVENTS = 200
MOST_BYTES = 256 * 1024
LARGEST_SEQ = 2**31 - 1
_UUID = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}")
Json = dict[str, Any]


@dataclass(frozen=True)
class Batch:
    """What a device sent: its own id and the events, not yet checked one by one."""

    device: str
    events: tuple[Any, ...]


def read_batch(body: bytes) -> Batch:
    """Read the body of a request. Raises SyncError 400 or 413."""
    if len(body) > MOST_BYTES:
        raise too_large()
    try:
        read = json.loads(body, parse_constant=_refuse)
    except (ValueError, RecursionError):
        raise SyncError(400, "not_json", "The body is no JSON.") from None
    if not isinstance(read, dict) or set(read) != {"device", "events"} or not isinstance(read["events"], list):
        raise SyncError(400, "malformed", "A batch is an object with device and events.")
    if not _is_uuid(read["device"]):
        raise SyncError(400, "malformed", "The device is named by a UUID in small letters.", field="device")
    if len(read["events"]) > MOST_EVENTS:
        raise too_large()
    return Batch(read["device"], tuple(read["events"]))


def too_large() -> SyncError:
    """The answer to a batch beyond the bounds."""
    return SyncError(413, "too_large", f"A batch holds at most {MOST_EVENTS} events and {MOST_BYTES // 1024} kB.")


def store_batch(*, by: User, sheet: Sheet, batch: Batch, at: datetime | None = None) -> Json:
    """Keep the events of a batch.

    Returns {"sheet", "version", "results": [{"id", "status": "stored|already", "late"?}], "added": [event]}; added
    holds the ``verified`` events that the server wrote for the statements of the batch. by: the signed-in person, who
    must be the sheet's evaluator. Raises SyncError: 400 with index, field and code; 403; 409 with both digests.
    """
    rule = rule_of(sheet.attempt.version)
    digests = [_checked(rule, raw, index, batch.device, sheet, by) for index, raw in enumerate(batch.events)]
    now = at or timezone.now()
    try:
        return _store(by, sheet, batch, digests, rule, now)
    except IntegrityError:
        # Another sheet's batch took an id or a count between our look and our insert: look again, and say which.
        return _store(by, sheet, batch, digests, rule, now)


def _checked(rule: Rule, raw: Any, index: int, device: str, sheet: Sheet, by: User) -> str:
    """The digest of a well-formed event of this sheet, device and person."""
    try:
        event = parse_event(rule, raw)
    except ScoringError as error:
        raise SyncError(400, error.code, error.message, field=error.field, index=index) from None
    for field, well in _envelope(raw, device, sheet):
        if not well:
            code = "malformed" if field in ("id", "seq") else f"wrong_{field}"
            raise SyncError(400, code, f"The {field} of this event cannot be taken.", field=field, index=index)
    if event.by != str(by.opaque):
        raise SyncError(403, "not_yours", "This event was made by somebody else.", field="by", index=index)
    if not _storable(raw["payload"]):
        raise SyncError(
            400, "not_a_text", "A text holds a character that cannot be kept.", field="payload", index=index
        )
    try:
        return digest(raw)
    except rfc8785.CanonicalizationError:
        raise SyncError(400, "not_a_text", "A text is no Unicode.", field="payload", index=index) from None


def _envelope(raw: Mapping[str, Any], device: str, sheet: Sheet) -> Iterator[tuple[str, bool]]:
    yield "id", _is_uuid(raw["id"]) and uuid.UUID(raw["id"]).version == 7
    yield "seq", raw["seq"] <= LARGEST_SEQ
    yield "sheet", raw["sheet"] == str(sheet.pk)
    yield "device", raw["device"] == device and device != str(server_device(sheet.pk))
    yield "source", raw["source"] != "server"


def _store(by: User, sheet: Sheet, batch: Batch, digests: Sequence[str], rule: Rule, now: datetime) -> Json:
    with writing():
        held = Sheet.objects.select_for_update().only("device", "signed_at", "stored").get(pk=sheet.pk)
        known, retracted = _already_there(batch, held)
        fresh, results = _sorted_out(batch, digests, known)
        added: list[Json] = []
        late = held.signed_at is not None
        if fresh:
            _check_holder(held, batch, late)
            _check_retractions(rule, held, batch, fresh, retracted)
            added = _verifications(by, sheet, held, fresh, now)
            rows = [as_row(e, received_at=now, late=late, entered_by=_entered_by(e, by)) for e in fresh + added]
            _insert(rows)
            _count(held, batch, len(rows), late)
            _enter(by, sheet, batch, rows, late)
        _check_readable({event["id"] for event in batch.events} | {event["id"] for event in added})
        added += _earlier_verifications(held, batch, fresh)
    if late:
        new = {event["id"] for event in fresh}
        results = [one | {"late": True} if one["id"] in new else one for one in results]
    return {"sheet": str(sheet.pk), "version": held.stored, "results": results, "added": added}


def _already_there(batch: Batch, held: Sheet) -> tuple[dict[Any, Json], set[str]]:
    """What is kept under the batch's ids and counts (by both), and what the sheet's retractions take back."""
    ids = [event["id"] for event in batch.events]
    counts = [event["seq"] for event in batch.events]
    rows = Event.objects.filter(
        Q(pk__in=ids) | Q(device=batch.device, seq__in=counts) | Q(sheet=held, kind="retracted")
    ).values("id", "sheet_id", "device", "seq", "digest", "kind", "payload")
    known: dict[Any, Json] = {}
    retracted: set[str] = set()
    for row in rows:
        known[str(row["id"])] = known[str(row["device"]), row["seq"]] = dict(row)
        if row["sheet_id"] == held.pk and row["kind"] == "retracted":
            retracted.add(row["payload"]["event"])
    return known, retracted


def _sorted_out(batch: Batch, digests: Sequence[str], known: dict[Any, Json]) -> tuple[list[Json], list[Json]]:
    """The events that are new, and the result of each. Raises 409 with both digests."""
    fresh: list[Json] = []
    results = []
    for index, (event, sent) in enumerate(zip(batch.events, digests, strict=True)):
        same = known.get(event["id"])
        if same is not None:
            if same["digest"] != sent:
                raise _conflict("conflict", "The same id is kept with other content.", index, event, same, sent)
            results.append({"id": event["id"], "status": "already"})
            continue
        taken = known.get((event["device"], event["seq"]))
        if taken is not None:
            raise _conflict(
                "seq_taken", "This count of the device is held by another event.", index, event, taken, sent
            )
        kept = {"id": event["id"], "digest": sent}
        known[event["id"]] = known[event["device"], event["seq"]] = kept
        fresh.append(event)
        results.append({"id": event["id"], "status": "stored"})
    return fresh, results


def _conflict(code: str, message: str, index: int, event: Json, there: Json, sent: str) -> SyncError:
    return SyncError(409, code, message, index=index, id=event["id"], stored=there["digest"], sent=sent)


def _check_holder(held: Sheet, batch: Batch, late: bool) -> None:
    if not late and held.device is not None and str(held.device) != batch.device:
        raise SyncError(
            409,
            "other_device",
            "Another device holds this sheet. Take it over to go on here.",
            holder=str(held.device),
        )


def _check_retractions(rule: Rule, held: Sheet, batch: Batch, fresh: Sequence[Json], retracted: set[str]) -> None:
    """Each event may be sound by itself and the log still not fold: something taken back that cannot be."""
    if not any(event["kind"] == "retracted" or event["id"] in retracted for event in fresh):
        return
    log = [as_dict(row) for row in Event.objects.filter(sheet=held)]
    if _folds(rule, [*log, *fresh]) is None:
        return
    for count, event in enumerate(fresh, 1):
        error = _folds(rule, [*log, *fresh[:count]])
        if error is not None:
            index = batch.events.index(event)
            raise SyncError(400, error.code, error.message, field=error.field, index=index)


def _folds(rule: Rule, log: Sequence[Json]) -> ScoringError | None:
    try:
        standing(parse_log(rule, log))
    except ScoringError as error:
        return error
    return None


def _verifications(by: User, sheet: Sheet, held: Sheet, fresh: Iterable[Json], now: datetime) -> list[Json]:
    """A ``verified`` event for each new statement that the frozen answer key has an answer for."""
    statements = [event for event in fresh if event["kind"] == "stated"]
    if not statements or sheet.attempt.case is None:
        return []
    keys = {check["id"]: check for check in sheet.attempt.case.answer_key["checks"]}
    entries = []
    for event in statements:
        said = event["payload"]
        if said["check"] in keys:
            verdict = calculators.verify(keys[said["check"]], said["number"], said["unit"])
            payload = {
                "check": said["check"],
                "statement": event["id"],
                "verdict": verdict,
                "calculators": calculators.VERSION,
            }
            entries.append(("verified", payload, event["at_ms"]))
    return by_server(held, by.opaque, entries, at=now)


def _earlier_verifications(held: Sheet, batch: Batch, fresh: Sequence[Json]) -> list[Json]:
    """Verdicts of statements that were here before: the answer that brought them may have been lost."""
    new = {event["id"] for event in fresh}
    again = {event["id"] for event in batch.events if event["kind"] == "stated"} - new
    if not again:
        return []
    rows = Event.objects.filter(sheet=held, kind="verified").order_by("seq")
    return [as_dict(row) for row in rows if row.payload["statement"] in again]


def _entered_by(event: Json, by: User) -> User | None:
    return by if event["source"] == "paper" else None


def _insert(rows: list[Event]) -> None:
    # Plain: ignore_conflicts would drop a row that breaks any constraint, which is a lost tap.
    Event.objects.bulk_create(rows)


def _count(held: Sheet, batch: Batch, new: int, late: bool) -> None:
    changes: Json = {"stored": F("stored") + new}
    if late:
        changes["late"] = F("late") + new
    elif held.device is None:
        changes["device"] = batch.device
    Sheet.objects.filter(pk=held.pk).update(**changes)
    held.stored += new


def _enter(by: User, sheet: Sheet, batch: Batch, rows: Sequence[Event], late: bool) -> None:
    """One audit entry a batch; the digest of its events' digests ties each of them to the chain before any seal."""
    together = hashlib.sha256("".join(row.digest for row in rows).encode()).hexdigest()
    detail: Json = {"device": batch.device, "events": len(rows), "digest": together} | (
        {"late": True} if late else {}
    )
    audit(by=by, act="events.kept", subject=sheet, program=sheet.attempt.cohort.program, detail=detail)


def _check_readable(ids: set[str]) -> None:
    if Event.objects.filter(pk__in=ids).count() != len(ids):
        raise SyncError(503, "not_kept", "Not every event could be read back; nothing was kept. Send again.")


def _storable(value: Any) -> bool:
    """PostgreSQL's JSON cannot hold U+0000."""
    if isinstance(value, str):
        return "\x00" not in value
    if isinstance(value, Mapping):
        return all(_storable(inner) for inner in value.values())
    return True


def _is_uuid(value: Any) -> bool:
    return isinstance(value, str) and _UUID.fullmatch(value) is not None


def _refuse(constant: str) -> Any:
    raise ValueError(constant)
