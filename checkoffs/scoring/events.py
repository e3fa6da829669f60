"""Events: their envelope, their kinds and payloads, and the total order.

An event (JSON)::

    {"id", "sheet", "by", "device": text, "seq": int >= 1, "at_ms": int >= 0 | null,
     "wall": "2026-10-14T10:05:00.123Z", "kind", "payload": {}, "source": "tablet|paper|server"}

``at_ms`` is raw time since ``started``, pauses included; null only from paper or the server. PAYLOADS below is the
whole list of kinds. In it ``?`` marks a field that may be left out or null, ``~`` one that must be there, if as null.
Nothing else is accepted: an unknown kind, field or value raises ScoringError with the event's index.
The browser's table in ``static/js/scoring/events.js`` is the same data; a test compares the two.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from checkoffs.scoring.errors import ScoringError
from checkoffs.scoring.exact import DECIMAL
from checkoffs.scoring.rule_parts import Rule

# A change made after the evaluator saw the outcome says so, and then must say why.
_CHANGED = {"after_outcome": "flag?", "reason": "text?"}
PAYLOADS: dict[str, dict[str, str]] = {
    "identity_confirmed": {"how": "text"},
    "started": {},
    "paused": {"reason": "text?"},
    "resumed": {},
    "finished": {},
    "marked": {
        "step": "step",
        "mark": "mark",
        "caught_up": "flag?",
        "in_time": "yes|no|unsure?",
        **_CHANGED,
    },
    "measured": {"step": "step", "value": "decimal", "unit": "text", "expected": "decimal?", **_CHANGED},
    "timed": {"step": "step", "start_ms": "ms", "stop_ms": "ms", **_CHANGED},
    "retracted": {"event": "id", **_CHANGED},
    "prompted": {"step": "step?", "kind": "time|general|specific"},
    "breach": {
        "step": "step?",
        "kind": "asepsis|safety",
        "noticed": "flag?",
        "corrected": "flag?",
        "of": "id?",
        **_CHANGED,
    },
    "discrepancy": {"which": "text", "caught": "flag"},
    "stated": {"check": "check", "number": "id", "unit": "text~", **_CHANGED},
    "revealed": {"check": "check"},
    "verified": {"check": "check", "statement": "id", "verdict": "verdict", "calculators": "text"},
    "settled": {"about": "about", "verdict": "id", "reason": "id", "after_outcome": "flag?"},
    "noted": {"step": "step?", "text": "text"},
    "rated": {"rating": "rating"},
    "stopped": {"reason": "safety|time|student|lab", "text": "text?"},
    "handed_over": {"to": "id"},
    "taken_over": {"from": "id?"},
    "clock_bridged": {
        "before_ms": "ms",
        "after_ms": "ms",
        "wall_before": "wall?",
        "wall_after": "wall?",
        "how": "wall|server",
    },
}
# What may be taken back. Seeing the expected value, a verdict, the start and the clock's history stay.
UNDOABLE = frozenset(PAYLOADS) - {
    "started",
    "retracted",
    "revealed",
    "verified",
    "handed_over",
    "taken_over",
    "clock_bridged",
}
SETTLEMENTS: dict[str, tuple[str, str]] = {
    "pair": ("kept", "broken"),
    "gap": ("kept", "broken"),
    "time": ("in_time", "late"),
    "step": ("performed", "not_performed"),
    "stated": ("right", "wrong"),
    "breach": ("kept", "broken"),
    "prompts": ("kept", "broken"),
    "identity": ("kept", "broken"),
}
VERDICTS = ("right", "right_other_rounding", "wrong", "wrong_unit", "missing_unit", "unreadable")
ENVELOPE = ("id", "sheet", "by", "device", "seq", "at_ms", "wall", "kind", "payload", "source")
SOURCES = ("tablet", "paper", "server")
WALL = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}(\.[0-9]{1,6})?Z")
LONGEST_TEXT = 4000
LONGEST_ID = 80
LATEST_MS = 10**12


@dataclass(frozen=True)
class Event:
    """One event, read and checked. Its payload holds only known fields of the right form."""

    id: str
    sheet: str
    by: str
    device: str
    seq: int
    at_ms: int | None
    wall: str
    kind: str
    payload: Mapping[str, Any]
    source: str

    @property
    def order(self) -> tuple[bool, int, str, int]:
        """The total order: time, device, count. Paper without times comes after what has one."""
        return (self.at_ms is None, self.at_ms or 0, self.device, self.seq)


def parse_event(rule: Rule, raw: Any) -> Event:
    """Read one event against the rule. Raises ScoringError(code, field)."""
    if not isinstance(raw, Mapping):
        raise ScoringError("not_an_object", "event")
    _only(raw, ENVELOPE, "")
    for name in ("id", "sheet", "by", "device"):
        _value(rule, "id", raw[name], name)
    if not _is_whole(raw["seq"]) or raw["seq"] < 1:
        raise ScoringError("not_a_count", "seq")
    _value(rule, "wall", raw["wall"], "wall")
    if raw["source"] not in SOURCES:
        raise ScoringError("unknown_value", "source")
    if raw["at_ms"] is None and raw["source"] == "tablet":
        raise ScoringError("missing", "at_ms")
    if raw["at_ms"] is not None:
        _value(rule, "ms", raw["at_ms"], "at_ms")
    kind = raw["kind"]
    if not isinstance(kind, str) or kind not in PAYLOADS:
        raise ScoringError("unknown_kind", "kind")
    if kind == "verified" and raw["source"] != "server":
        raise ScoringError("wrong_source", "source")
    _payload(rule, kind, raw["payload"])
    return Event(**{name: raw[name] for name in ENVELOPE})


def parse_log(rule: Rule, raws: Iterable[Any]) -> tuple[Event, ...]:
    """Read a log in any order, with repetitions, into the total order without repetitions.

    Raises ScoringError naming the index: any malformed event, the same id with other content (``id_reused``), a
    device's count held by two events (``seq_reused``), or events of more than one sheet (``other_sheet``).
    """
    found: dict[str, Event] = {}
    counts: dict[tuple[str, int], str] = {}
    sheet: str | None = None
    for index, raw in enumerate(raws):
        try:
            event = parse_event(rule, raw)
            sheet = sheet or event.sheet
            _consistent(event, found, counts, sheet)
        except ScoringError as error:
            raise error.at(index) from None
        found[event.id] = event
        counts[event.device, event.seq] = event.id
    return tuple(sorted(found.values(), key=lambda event: event.order))


def _consistent(event: Event, found: Mapping[str, Event], counts: Mapping[tuple[str, int], str], sheet: str) -> None:
    if event.sheet != sheet:
        raise ScoringError("other_sheet", "sheet")
    if found.get(event.id, event) != event:
        raise ScoringError("id_reused", "id")
    if counts.get((event.device, event.seq), event.id) != event.id:
        raise ScoringError("seq_reused", "seq")


def _payload(rule: Rule, kind: str, payload: Any) -> None:
    if not isinstance(payload, Mapping):
        raise ScoringError("not_an_object", "payload")
    fields = PAYLOADS[kind]
    _only(payload, [name for name in fields if not fields[name].endswith("?")], "payload.", fields)
    for name, spec in fields.items():
        value = payload.get(name)
        if value is None and spec[-1] in "?~":
            continue
        _value(rule, spec.rstrip("?~"), value, f"payload.{name}")
    if payload.get("after_outcome") and not (payload.get("reason") or "").strip():
        raise ScoringError("missing", "payload.reason")
    if kind == "settled" and payload["verdict"] not in SETTLEMENTS[payload["about"]["type"]]:
        raise ScoringError("unknown_value", "payload.verdict")
    if kind == "timed" and payload["stop_ms"] < payload["start_ms"]:
        raise ScoringError("backwards", "payload.stop_ms")
    if kind == "clock_bridged" and payload["after_ms"] < payload["before_ms"]:
        raise ScoringError("backwards", "payload.after_ms")


def _only(value: Mapping[str, Any], needed: Iterable[str], at: str, known: Iterable[str] = ()) -> None:
    needed = list(needed)
    for name in needed:
        if name not in value:
            raise ScoringError("missing", at + name)
    for name in sorted(value):
        if name not in needed and name not in known:
            raise ScoringError("unknown_field", at + name)


def _value(rule: Rule, spec: str, value: Any, field: str) -> None:
    """Check one value against one word of the table; a word with | is a choice."""
    if "|" in spec:
        if not isinstance(value, str) or value not in spec.split("|"):
            raise ScoringError("unknown_value", field)
    elif spec == "flag":
        if not isinstance(value, bool):
            raise ScoringError("not_a_flag", field)
    elif spec in ("ms", "rating"):
        low, high = (0, LATEST_MS) if spec == "ms" else (1, 5)
        if not _is_whole(value) or not low <= value <= high:
            raise ScoringError("not_a_whole_number", field)
    elif spec == "about":
        _about(rule, value, field)
    elif spec == "verdict":
        if not isinstance(value, Mapping) or value.get("code") not in VERDICTS:
            raise ScoringError("unknown_verdict", field)
    else:
        _words(rule, spec, value, field)


def _words(rule: Rule, spec: str, value: Any, field: str) -> None:
    longest = LONGEST_TEXT if spec == "text" or field == "payload.reason" else LONGEST_ID
    if not isinstance(value, str) or len(value) > longest or (spec != "text" and not value.strip()):
        raise ScoringError("not_a_text", field)
    if spec == "decimal" and not DECIMAL.fullmatch(value):
        raise ScoringError("not_a_decimal", field)
    if spec == "wall" and not WALL.fullmatch(value):
        raise ScoringError("not_a_wall_time", field)
    if spec == "step" and value not in rule.steps:
        raise ScoringError("unknown_step", field)
    if spec == "mark" and value not in rule.marks:
        raise ScoringError("unknown_mark", field)
    if spec == "check" and rule.check(value) is None:
        raise ScoringError("unknown_check", field)


def _about(rule: Rule, value: Any, field: str) -> None:
    if not isinstance(value, Mapping) or set(value) != {"type", "id"}:
        raise ScoringError("unknown_value", field)
    kind, key = value["type"], value["id"]
    if not isinstance(kind, str) or kind not in SETTLEMENTS:
        raise ScoringError("unknown_value", field)
    known: dict[str, Iterable[str]] = {
        "pair": [pair.id for pair in rule.pairs],
        "gap": [gap.id for gap in rule.gaps],
        "time": [*rule.steps, *(limit.id for limit in rule.limits)],
        "step": rule.steps,
        "stated": [check.id for check in rule.stated],
        "prompts": ["total", *rule.prompts_by_kind],
        "identity": ["identity"],
    }
    if not isinstance(key, str) or not key or key not in known.get(kind, [key]):
        raise ScoringError("unknown_value", f"{field}.id")


def _is_whole(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool)
