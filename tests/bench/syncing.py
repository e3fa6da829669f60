"""A batch of 20 events through the whole stack, signed in, atomic and durable, against its empty view."""

from __future__ import annotations

import itertools
import json
import uuid
from collections.abc import Iterator
from typing import Any

from django.conf import settings
from django.test import Client
from django.urls import reverse
from uuid6 import uuid7

from tests.attempts.make import open_attempt
from tests.bench.measure import Pair, side_by_side
from tests.world import make_world

settings.ALLOWED_HOSTS += ["testserver"]


def run() -> Iterator[Pair]:
    """Fresh events each round, so that every batch is written."""
    world = make_world()
    attempt = open_attempt(world)
    sheet = attempt.sheets.get()
    client = Client()
    client.force_login(world.evaluator, backend=settings.AUTHENTICATION_BACKENDS[0])
    device, count = str(uuid.uuid4()), itertools.count(1)

    def post() -> None:
        events = [_noted(sheet, world.evaluator, device, next(count)) for _ in range(20)]
        response = client.post(
            reverse("attempts:events", kwargs={"sheet": sheet.pk}),
            json.dumps({"device": device, "events": events}),
            content_type="application/json",
            headers={"accept": "application/json"},
        )
        assert response.status_code == 200, response.content

    yield side_by_side(
        "20 events kept (share of the empty view's rate)",
        post,
        lambda: client.get(reverse("site:health")),
        rounds=60,
        target="≥ 0.10",
        inverse=True,
    )


def _noted(sheet: Any, by: Any, device: str, seq: int) -> dict[str, Any]:
    return {
        "id": str(uuid7()), "sheet": str(sheet.pk), "by": str(by.opaque), "device": device, "seq": seq,
        "at_ms": seq * 100, "wall": "2026-03-02T09:00:00.000Z", "kind": "noted", "payload": {"text": "seen"},
        "source": "tablet",
    }  # fmt: skip
