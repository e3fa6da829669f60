"""How a record says times, dates, accepted answers and settlements. Pure; no clock, no settings."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

Json = Mapping[str, Any]
OUTCOMES = {"satisfactory": "Satisfactory", "unsatisfactory": "Unsatisfactory", "void": "Void"}
OUTCOME_ICONS = {"satisfactory": "performed", "unsatisfactory": "not_performed", "void": "not_applicable"}
MARKS = {
    "performed": "performed",
    "self_corrected": "self-corrected",
    "prompted": "after a prompt",
    "said": "said, not done",
    "not_performed": "not performed",
    "not_observed": "not observed",
    "not_applicable": "not applicable",
    None: "open",
}
PURPOSES = {"summative": "summative", "formative": "formative: feedback only", "practice": "practice"}
ROLES = {
    "primary": "evaluator, for what was seen",
    "second": "second evaluator, scored blind, for what was seen",
    "moderation": "instructor who scored no sheet, for the moderation",
}
HOW = {"password": "with a password", "passkey": "with a passkey", "sign_on": "through the campus sign-on"}
SHOWN = {"no_statement": "no statement", "statement": "with a statement", "refused": "refused to look"}
VERDICTS = {
    "right": "right",
    "right_other_rounding": "right, rounded otherwise",
    "wrong": "wrong",
    "wrong_unit": "wrong unit",
    "missing_unit": "no unit said",
    "unreadable": "unreadable",
}
RIGHT = {"right", "right_other_rounding"}
SETTLED = {
    "kept": "kept",
    "broken": "broken",
    "in_time": "in time",
    "late": "late",
    "performed": "performed",
    "not_performed": "not performed",
    "right": "right",
    "wrong": "wrong",
}


def moment(iso: str | None, zone: str) -> str:
    """``Wed 14 Oct 2026, 10:05 BST`` for an ISO 8601 time; nothing for None."""
    if iso is None:
        return ""
    local = _local(iso, zone)
    name = local.tzname() or ""
    return f"{day(iso, zone)}, {local:%H:%M} {'UTC' + name if name[:1] in '+-' else name}"


def day(iso: str, zone: str) -> str:
    """``Wed 14 Oct 2026``."""
    local = _local(iso, zone)
    return f"{local:%a} {local.day} {local:%b} {local.year}"


def _local(iso: str, zone: str) -> datetime:
    return datetime.fromisoformat(iso.replace("Z", "+00:00")).astimezone(ZoneInfo(zone))


def clock(ms: int | None) -> str:
    """``23:10`` for milliseconds, cut down to the second; nothing for None."""
    if ms is None:
        return ""
    seconds = ms // 1000
    return f"{seconds // 60}:{seconds % 60:02d}"


def value(number: str | None, unit: str | None) -> str:
    """``28.9 mL/h``; says so when no unit or nothing at all was said."""
    if number is None:
        return "nothing said"
    return f"{number} {unit}" if unit else f"{number}, no unit said"


def accepted(ranges: Iterable[Json]) -> str:
    """``13.1`` or ``465 to 470; also 13 (to a whole number)``: what counts as right."""
    parts = []
    for item in ranges:
        span = item["low"] if item["low"] == item["high"] else f"{item['low']} to {item['high']}"
        parts.append(span if item["verdict"] == "right" else f"also {span} ({item['why']})")
    return "; ".join(parts)


def working(lines: Iterable[Json]) -> list[str]:
    """``154 lb ÷ 2.2 lb/kg = 70 kg``, a line each."""
    return [f"{line['text']} = {line['gives']}" for line in lines]


def listed(words: Iterable[str]) -> str:
    """``a``, ``a and b``, ``a, b and c``."""
    items = list(words)
    return " and ".join(filter(None, [", ".join(items[:-1]), *items[-1:]]))
