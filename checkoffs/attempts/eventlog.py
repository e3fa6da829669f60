"""Events between their two forms: the JSON that devices send and folds read, and the row that is kept.

An event's digest is SHA-256 over its canonical JSON (RFC 8785) exactly as the fold reads it, so that anybody who
holds the log can compute it again.
"""

from __future__ import annotations

import hashlib
import uuid
from collections.abc import Iterable, Mapping
from datetime import UTC, datetime
from typing import Any

import rfc8785
from uuid6 import uuid7

from checkoffs.attempts.models import Event, Sheet

# Name space of the devices under whose name the server itself writes, one for each sheet.
_SERVER = uuid.UUID("5d2c8f0e-6a57-5e0b-9a43-7f1f0f3c1d10")


def digest(event: Mapping[str, Any]) -> str:
    """SHA-256 of the canonical JSON of an event, hex. Raises rfc8785.CanonicalizationError."""
    return hashlib.sha256(rfc8785.dumps(dict(event))).hexdigest()


def as_dict(row: Event) -> dict[str, Any]:
    """A kept event as the fold reads it."""
    return {
        "id": str(row.pk),
        "sheet": str(row.sheet_id),
        "by": str(row.by),
        "device": str(row.device),
        "seq": row.seq,
        "at_ms": row.at_ms,
        "wall": row.wall,
        "kind": row.kind,
        "payload": row.payload,
        "source": row.source,
    }


def as_row(event: Mapping[str, Any], *, received_at: datetime, late: bool = False, entered_by: Any = None) -> Event:
    """The unsaved row of an event."""
    return Event(
        id=uuid.UUID(event["id"]),
        sheet_id=uuid.UUID(event["sheet"]),
        by=uuid.UUID(event["by"]),
        device=uuid.UUID(event["device"]),
        seq=event["seq"],
        at_ms=event["at_ms"],
        wall=event["wall"],
        kind=event["kind"],
        payload=event["payload"],
        source=event["source"],
        digest=digest(event),
        received_at=received_at,
        late=late,
        entered_by=entered_by,
    )


def server_device(sheet_id: uuid.UUID) -> uuid.UUID:
    """The device under whose name the server writes on a sheet."""
    return uuid.uuid5(_SERVER, str(sheet_id))


def wall(at: datetime) -> str:
    """A moment in the form events carry: UTC, milliseconds."""
    return at.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def by_server(
    sheet: Sheet, by: uuid.UUID, entries: Iterable[tuple[str, Mapping[str, Any], int | None]], *, at: datetime
) -> list[dict[str, Any]]:
    """Events the server writes on a sheet, as JSON: kind, payload, at_ms of each. The sheet must be locked."""
    device = server_device(sheet.pk)
    seq = Event.objects.filter(device=device).count()  # the server's counts have no gaps and nothing is removed
    return [
        {
            "id": str(uuid7()),
            "sheet": str(sheet.pk),
            "by": str(by),
            "device": str(device),
            "seq": seq + place,
            "at_ms": at_ms,
            "wall": wall(at),
            "kind": kind,
            "payload": dict(payload),
            "source": "server",
        }
        for place, (kind, payload, at_ms) in enumerate(entries, 1)
    ]
