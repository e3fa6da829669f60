"""Setting a record's PDF, against rebuilding fonts and style for each one."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from checkoffs.records import pdf, queries
from checkoffs.records.models import RecordLeaf
from tests.bench.measure import Pair, side_by_side


def sealed() -> tuple[dict[str, Any], str]:
    """Snapshot and digest of a 36-step record with a case, sealed through the real actions."""
    from datetime import timedelta

    from django.utils import timezone

    from checkoffs.management.demo import college
    from checkoffs.management.demo.past import Past
    from checkoffs.management.demo.stories import PUMP, Session

    now = timezone.now()
    entered = college.enter(now)
    past = Past(entered, now, 3)
    session = Session("26-A", PUMP, 2, 1, ("Jo Castellane",))
    past._session(session, past._morning(2) + timedelta(minutes=1))
    leaf = RecordLeaf.objects.get()
    snapshot = queries.snapshot_of(leaf)
    assert snapshot is not None
    return snapshot, leaf.digest


def run() -> Iterator[Pair]:
    """The stored recipe keeps fonts and parsed style; the naive one throws them away each time."""
    snapshot, digest = sealed()

    def set_once() -> None:
        pdf.render(snapshot, digest, verify_at="http://127.0.0.1/verify")

    def from_scratch() -> None:
        pdf._sheet.cache_clear()
        set_once()

    yield side_by_side("set a 36-step record", set_once, from_scratch, rounds=5, target="< 1")
