"""The @action decorator and the audit entry that each action leaves in its own transaction."""

from __future__ import annotations

import functools
import hashlib
from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any, ParamSpec, TypeVar

import rfc8785
from django.db import connection, models
from django.utils import timezone

from checkoffs.ledger.gate import writing
from checkoffs.ledger.models import AuditEntry

P = ParamSpec("P")
R = TypeVar("R")
START = "0" * 64
_DOMAIN = b"stepwitness audit 1\n"
_CHAIN_LOCK = 7_391_822  # any fixed number; names the advisory lock of the chain on PostgreSQL


def action(function: Callable[P, R]) -> Callable[P, R]:
    """Run the function as one write transaction behind the gate."""

    @functools.wraps(function)
    def inside(*args: P.args, **kwargs: P.kwargs) -> R:
        with writing():
            return function(*args, **kwargs)

    return inside


def entry_digest(previous: str, fields: dict[str, Any]) -> str:
    """SHA-256 over domain, previous digest and the digest of the entry's canonical JSON (RFC 8785); hex."""
    inner = hashlib.sha256(rfc8785.dumps(fields)).digest()
    return hashlib.sha256(_DOMAIN + bytes.fromhex(previous) + inner).hexdigest()


def entry_fields(entry: AuditEntry) -> dict[str, Any]:
    """What the digest of an entry covers."""
    return {
        "at": _stamp(entry.at),
        "by": entry.by_id,
        "act": entry.act,
        "program": entry.program_id,
        "subject": f"{entry.subject_type}:{entry.subject_id}",
        "detail": entry.detail,
    }


def _stamp(at: datetime) -> str:
    return at.astimezone(UTC).isoformat(timespec="microseconds")


def audit(
    *,
    by: Any,
    act: str,
    subject: models.Model,
    program: Any = None,
    detail: dict[str, Any] | None = None,
) -> AuditEntry:
    """Add one entry to the chain; call it inside the action's transaction. ``by`` None means the system itself."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s)", [_CHAIN_LOCK])
    last = AuditEntry.objects.order_by("-id").values_list("digest", flat=True).first() or START
    entry = AuditEntry(
        at=timezone.now(),
        by=by,
        act=act,
        program=program,
        subject_type=subject._meta.model_name or "",
        subject_id=str(subject.pk),
        detail=detail or {},
        previous=last,
    )
    entry.digest = entry_digest(last, entry_fields(entry))
    entry.save(force_insert=True)
    return entry
