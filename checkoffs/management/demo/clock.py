"""Lets the loader write history: the real actions run while the clock of the process stands at a chosen moment.

Only the demo uses it. The alternative, a moment handed through every action of every room, would let any caller
date an entry back.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from unittest import mock


@contextmanager
def the_time_is(moment: datetime) -> Iterator[datetime]:
    """Inside the block ``django.utils.timezone.now()`` answers ``moment`` (aware)."""
    with mock.patch("django.utils.timezone.now", return_value=moment):
        yield moment
