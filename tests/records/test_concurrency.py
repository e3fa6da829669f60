"""Two seals at once: each gets a place and a code of its own, and no place stays empty."""

from __future__ import annotations

import threading

import pytest
from django.db import connection

from checkoffs.attempts.models import Attempt
from checkoffs.records.actions import seal
from checkoffs.records.models import RecordLeaf
from tests.records import make
from tests.world import World, make_world


@pytest.fixture
def world(transactional_db: None) -> World:
    """Committed, so that threads see it."""
    return make_world()


def test_places_are_given_out_one_by_one(world: World, monkeypatch: pytest.MonkeyPatch) -> None:
    """Four threads seal four attempts; the places are 0 to 3."""
    monkeypatch.setattr("checkoffs.records.tasks.order_pdf", lambda leaf: None)  # four PDFs would prove nothing here
    attempts = [make.signed_infusion(world, number=number) for number in range(1, 5)]
    failed: list[BaseException] = []

    def work(attempt: Attempt) -> None:
        try:
            seal(by=world.evaluator, attempt=attempt)
        except BaseException as error:
            failed.append(error)
        finally:
            connection.close()

    threads = [threading.Thread(target=work, args=(attempt,)) for attempt in attempts]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failed == []
    assert list(RecordLeaf.objects.values_list("index", flat=True)) == [0, 1, 2, 3]
