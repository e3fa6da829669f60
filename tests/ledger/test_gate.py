"""The write gate: one writer at a time on SQLite, nests inside itself, and is let go of after a failure."""

from __future__ import annotations

import fcntl

import pytest
from django.conf import settings
from django.db import connection

from checkoffs.ledger.gate import writing

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif(connection.vendor != "sqlite", reason="the gate is SQLite's; PostgreSQL gets none"),
]


def is_free() -> bool:
    """Whether another process could take the lock now (a second open file stands for the other process)."""
    with open(settings.WRITE_LOCK_FILE, "w") as file:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        return True


def test_the_gate_is_held_while_writing_and_nests() -> None:
    with writing():
        assert connection.in_atomic_block
        with writing():
            assert not is_free()
        assert not is_free()
    assert is_free()


def test_a_failure_lets_go() -> None:
    with pytest.raises(RuntimeError), writing():
        raise RuntimeError("in the middle")
    assert is_free()
