"""A stated value against the worked answer: two workings side by side, washed where they part. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from checkoffs.records import paper_words as words

Json = dict[str, Any]
Line = Mapping[str, str]
EMPTY: Line = {"text": "", "gives": ""}


def side_by_side(working: Sequence[Line], slip: Sequence[Line]) -> list[Json]:
    """[{"text", "gives", "slip_text", "slip_gives", "here", "last"}]: both workings, a row each.

    ``here`` marks the one row where the slip first goes its own way. A working with fewer lines gets its empty rows
    where the two part, so that what both do afterwards stands side by side again.
    """
    parting = _parting(working, slip)
    left, right = _padded(working, len(slip), parting), _padded(slip, len(working), parting)
    here = next((place for place in range(parting, len(right)) if right[place]["text"]), None)
    return [
        {
            "text": mine["text"],
            "gives": mine["gives"],
            "slip_text": other["text"],
            "slip_gives": other["gives"],
            "here": place == here,
            "last": place == len(left) - 1,
        }
        for place, (mine, other) in enumerate(zip(left, right, strict=True))
    ]


def _parting(working: Sequence[Line], slip: Sequence[Line]) -> int:
    same = 0
    for mine, other in zip(working, slip, strict=False):
        if (mine["text"], mine["gives"]) != (other["text"], other["gives"]):
            break
        same += 1
    return same


def _padded(lines: Sequence[Line], wanted: int, at: int) -> list[Line]:
    if not lines:
        return [EMPTY] * wanted
    return [*lines[:at], *[EMPTY] * max(0, wanted - len(lines)), *lines[at:]]


def stated_values(snapshot: Mapping[str, Any]) -> list[Json]:
    """[{"id", "label", "step", "number", "critical", "said", "unit", "time", "expected", "expected_unit", "accepted",
    "verdict", "right", "slip": text|None, "lines": rows of ``side_by_side``, "decides"}], the first sheet's hearing.

    ``said`` is None when nothing was said; ``right`` is None when nobody gave a verdict.
    """
    if snapshot["case"] is None:
        return []
    return [_value(check, snapshot) for check in snapshot["case"]["checks"] if check["sheet"] == _first(snapshot)]


def _first(snapshot: Mapping[str, Any]) -> int:
    return next(place for place, sheet in enumerate(snapshot["sheets"]) if sheet["kind"] == "primary")


def _value(check: Mapping[str, Any], snapshot: Mapping[str, Any]) -> Json:
    rule: Mapping[str, Any] = next(
        (item for item in snapshot["rule"].get("stated", []) if item["id"] == check["id"]), {}
    )
    step = rule.get("step")
    number = {s["id"]: s["number"] for section in snapshot["procedure"]["sections"] for s in section["steps"]}
    reason = _reason(snapshot["decision"]["reasons"], check["id"])
    code = (check["verdict"] or {}).get("code")
    right = False if reason else None if code is None else code in words.RIGHT
    slip = check["slips"][0] if check["slips"] and not right else None
    expected, _, unit = str(check["expected"]).partition(" ")
    return {
        "id": check["id"],
        "label": check["label"],
        "step": step,
        "number": number.get(step or ""),
        "critical": bool(rule.get("critical")),
        "said": check["said"],
        "unit": check["unit"],
        "time": words.clock(check["at_ms"]),
        "expected": expected,
        "expected_unit": unit,
        "accepted": words.accepted(check["accepted"]),
        "verdict": words.VERDICTS.get(str(code), "not stated" if check["said"] is None else "no verdict"),
        "right": right,
        "slip": slip["text"] if slip else None,
        "lines": side_by_side(check["working"], slip["working"] if slip else []),
        "decides": bool(reason and reason["decides"]),
    }


def _reason(reasons: Iterable[Mapping[str, Any]], check: str) -> Mapping[str, Any] | None:
    """The first sheet's failed reason about a check, if there is one."""
    return next(
        (r for r in reasons if r["code"] == "stated_wrong" and r.get("check") == check and "sheet" not in r), None
    )
