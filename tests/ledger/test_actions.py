"""The audit chain: linked, written with the action or not at all, and any touch is found."""

from __future__ import annotations

from datetime import datetime
from unittest import mock
from zoneinfo import ZoneInfo

import pytest
from django.db import connection

from checkoffs.ledger import queries, triggers
from checkoffs.ledger.actions import START, action, audit
from checkoffs.ledger.models import AuditEntry
from tests.world import World


def test_entries_are_linked(world: World) -> None:
    first = audit(by=world.coordinator, act="test.one", subject=world.cohort, program=world.program)
    second = audit(by=None, act="test.two", subject=world.cohort, detail={"n": 1})
    assert (first.previous, second.previous) == (START, first.digest)
    assert queries.first_broken_entry() is None
    assert list(queries.entries_about(world.cohort)) == [first, second]


def test_a_forged_entry_is_found(world: World) -> None:
    for number in range(3):
        audit(by=world.coordinator, act="test.act", subject=world.cohort, detail={"n": number})
    victim = AuditEntry.objects.order_by("id")[1]
    with triggers.lifted(connection):
        AuditEntry.objects.filter(pk=victim.pk).update(detail={"n": 99})
    assert queries.first_broken_entry() == victim


def test_a_removed_entry_is_found(world: World) -> None:
    for number in range(3):
        audit(by=world.coordinator, act="test.act", subject=world.cohort, detail={"n": number})
    victim = AuditEntry.objects.order_by("id")[1]
    with triggers.lifted(connection):
        victim_id = victim.pk
        AuditEntry.objects.filter(pk=victim_id).delete()
    broken = queries.first_broken_entry()
    assert broken is not None
    assert broken.pk > victim_id


@pytest.mark.django_db(transaction=True)
def test_a_failing_action_leaves_no_entry() -> None:
    from tests.world import make_world

    world = make_world()

    @action
    def fails() -> None:
        audit(by=world.coordinator, act="test.fails", subject=world.cohort)
        raise RuntimeError("after the entry")

    with pytest.raises(RuntimeError):
        fails()
    assert not AuditEntry.objects.filter(act="test.fails").exists()


def test_the_digest_does_not_hang_on_the_time_zone(world: World) -> None:
    """A moment given in local time comes back from the database in UTC; both are the same moment."""
    local = datetime(2026, 7, 1, 10, 0, tzinfo=ZoneInfo("Europe/London"))
    with mock.patch("django.utils.timezone.now", return_value=local):
        audit(by=world.coordinator, act="test.local", subject=world.cohort)
    assert queries.first_broken_entry() is None
