"""The fold and the decision against reading the same log as JSON."""

from __future__ import annotations

import json
from collections.abc import Iterator
from random import Random
from typing import Any

from django.conf import settings

from checkoffs.management.demo.performance import Plan, perform
from checkoffs.procedures.content import scoring_rule
from checkoffs.scoring.decide import decide
from checkoffs.scoring.fold import fold
from checkoffs.scoring.rule import parse_rule
from tests.bench.measure import Pair, side_by_side


def log_of(name: str) -> tuple[dict[str, Any], list[dict[str, Any]]]:
    """Scoring rule and a whole log of a demo procedure."""
    content = json.loads((settings.BASE_DIR / "fixtures" / "demo" / "procedures" / f"{name}.json").read_text())
    taps = perform(content, None, Plan(), Random(1))
    events = [
        {"id": f"e{n}", "sheet": "s", "by": "b", "device": "d", "seq": n, "at_ms": at, "wall": "2026-03-02T09:00:00Z",
         "kind": kind, "payload": payload, "source": "tablet"}
        for n, (kind, payload, at) in enumerate(taps, 1)
    ]  # fmt: skip
    return scoring_rule(content), events


def run() -> Iterator[Pair]:
    """Fold and decide a 29-step procedure."""
    document, events = log_of("urinary-catheter")
    rule, text = parse_rule(document), json.dumps(events)
    yield side_by_side(
        "fold a 29-step log", lambda: fold(rule, events), lambda: json.loads(text), rounds=60, target="reported"
    )
    sheets = [{"id": "s", "kind": "primary", "events": events}]
    yield side_by_side(
        "decide it", lambda: decide(rule, sheets, {}, {"time_factor": "1"}), lambda: json.loads(text), rounds=40,
        target="reported",
    )  # fmt: skip
