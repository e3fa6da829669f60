"""Sheets for ribbon tests, folded from events: eight steps in three sections, two stated values, ten minutes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from checkoffs.scoring.fold import fold

SECTIONS = {"a": ["a1", "a2", "a3"], "b": ["b1", "b2"], "c": ["c1", "c2", "c3"]}
CRITICAL = {"a2", "b2", "c2"}
LIMIT_MS = 600_000


def rule(limit_ms: int | None = LIMIT_MS) -> dict[str, Any]:
    """The scoring rule document; b2 carries the stated rate, which c1 closes."""
    steps = [(section, step) for section, ids in SECTIONS.items() for step in ids]
    limit = {"id": "whole", "scope": "whole", "of": None, "limit_ms": limit_ms, "on_reaching": "fail"}
    return {
        "sections": [{"id": section, "steps": ids} for section, ids in SECTIONS.items()],
        "steps": {
            step: {"section": section, "number": number, "critical": step in CRITICAL}
            for number, (section, step) in enumerate(steps, 1)
        },
        "limits": [limit] if limit_ms else [],
        "stated": [{"id": "rate", "label": "Rate", "step": "b2", "critical": True, "closes_with": "c1"}],
    }


def sheet(
    acts: Sequence[tuple[int | None, str, dict[str, Any]]], limit_ms: int | None = LIMIT_MS, source: str = "tablet"
) -> dict[str, Any]:
    """The folded state of (second, kind, payload); ids count up, so ``verified`` may name an event as ``e3``."""
    events = []
    for seq, (second, kind, payload) in enumerate(acts, 1):
        payload = {
            key: event_id(int(value[1:])) if key in {"statement", "of"} else value for key, value in payload.items()
        }
        events.append(
            {
                "id": event_id(seq),
                "sheet": "00000000-0000-4000-8000-000000000001",
                "by": "00000000-0000-4000-8000-000000000002",
                "device": "d1",
                "seq": seq,
                "at_ms": None if second is None else second * 1000,
                "wall": "2026-10-14T10:05:00.000Z",
                "kind": kind,
                "payload": payload,
                "source": "server" if kind == "verified" else source,
            }
        )
    return fold(rule(limit_ms), events).as_dict()


def event_id(seq: int) -> str:
    """A UUIDv7-shaped id for the seq-th event."""
    return f"019a0000-0000-7000-8000-{seq:012d}"


def mark(
    second: int | None, step: str, code: str = "performed", **more: Any
) -> tuple[int | None, str, dict[str, Any]]:
    """One mark."""
    return (second, "marked", {"step": step, "mark": code, **more})


START: tuple[int, str, dict[str, Any]] = (0, "started", {})
RUNNING = [
    START,
    mark(20, "a1"),
    mark(60, "a2"),
    mark(90, "a3", "prompted"),
    mark(130, "b1", "said"),
    (150, "stated", {"check": "rate", "number": "28.9", "unit": "mL/h"}),
    mark(150, "b2"),
]
WRONG = {"check": "rate", "statement": "e6", "verdict": {"code": "wrong"}, "calculators": "1.0"}
FULL = [
    *RUNNING,
    (160, "verified", WRONG),
    (200, "paused", {"reason": "fire alarm"}),
    (260, "resumed", {}),
    (300, "breach", {"kind": "asepsis", "step": "c1"}),
    (310, "prompted", {"kind": "general"}),
    mark(360, "c1", "self_corrected"),
    mark(400, "c2", "not_performed"),
    (460, "finished", {}),
    mark(470, "c3", "performed", caught_up=True, reason="was seen, mark forgotten"),
]
