"""Random rules and random logs that a tablet could have written, from a given source of dice."""

from __future__ import annotations

import random
from typing import Any

from checkoffs.scoring.events import SETTLEMENTS
from checkoffs.scoring.rule import MARKS

STEPS = ("a1", "a2", "b1", "b2", "b3")
WALL = "2026-10-14T10:05:00.{:03d}Z"


def random_rule(dice: random.Random) -> dict[str, Any]:
    """A rule that uses any part with even chance."""
    steps: dict[str, Any] = {
        key: {
            "section": key[0],
            "number": number,
            "critical": dice.random() < 0.3,
            "points": dice.choice(["1", "0.5", "2.25"]),
        }
        for number, key in enumerate(STEPS, 1)
    }
    steps["b3"] = {"section": "b", "number": 5, "optional": True}
    steps["a2"]["measured"] = {"unit": "/min", "target": dice.choice([None, "18"]), "tolerance": "2"}
    steps["b2"]["timed"] = {"at_least_ms": 9000, "at_most_ms": dice.choice([None, 15000])}
    kind = dice.choice(["none", "all", "percent", "points"])
    cuts = kind in ("percent", "points")
    scope, of = dice.choice([("whole", None), ("section", "b"), ("step", "b1")])
    return {
        "sections": [{"id": "a", "steps": ["a1", "a2"]}, {"id": "b", "steps": ["b1", "b2", "b3"]}],
        "steps": steps,
        "critical_all": dice.random() < 0.9,
        "automatic_fail": [
            c for c in ("breach_unnoticed", "breach_uncorrected", "safety_stop") if dice.random() < 0.5
        ],
        "score": {
            "kind": kind,
            "cut": dice.choice(["2", "66.67", "80"]) if cuts else None,
            "per_section": {"b": "1.5"} if cuts and dice.random() < 0.3 else {},
            "retake_cap": "77" if dice.random() < 0.3 else None,
        },
        "limits": [
            {
                "id": "lim",
                "scope": scope,
                "of": of,
                "limit_ms": dice.choice([20_000, 45_001]),
                "on_reaching": dice.choice(["fail", "fail_unfinished", "record"]),
                "scalable": dice.random() < 0.5,
            }
        ],
        "pairs": [{"id": "p1", "before": "a1", "after": "b1", "critical": dice.random() < 0.5}],
        "gaps": [{"id": "g1", "from": "a2", "to": "b2", "at_least_ms": 5000, "at_most_ms": None, "critical": True}],
        "stated": [
            {
                "id": "rate",
                "step": dice.choice([None, "b2"]),
                "critical": dice.random() < 0.4,
                "must_be_right": dice.random() < 0.8,
                "closes_with": dice.choice([None, "b1"]),
                "grades_rounding": dice.random() < 0.3,
                "no_unit": dice.choice(["wrong", "accepted"]),
            }
        ],
        "prompts": {"total": dice.choice([None, 1]), "by_kind": {"specific": 0}},
        "identity_required": dice.random() < 0.3,
    }


def random_log(dice: random.Random, sheet: str = "s1", length: int | None = None) -> list[dict[str, Any]]:
    """A log in the order it was written: started, then anything, ids and counts unique."""
    log: list[dict[str, Any]] = []
    at = 0
    _append(dice, log, sheet, 0, "identity_confirmed", {"how": "photo card"})
    _append(dice, log, sheet, 0, "started", {})
    for _ in range(dice.randrange(25) if length is None else length):
        at += dice.choice([0, 500, 4000, 9000])
        kind, payload = random_payload(dice, log, at)
        _append(dice, log, sheet, at, kind, payload)
    return log


def random_payload(dice: random.Random, log: list[dict[str, Any]], at: int) -> tuple[str, dict[str, Any]]:
    """One more event of any kind; marks are the most common, as on a tablet."""
    step = dice.choice(STEPS)
    ids = [event["id"] for event in log if event["kind"] not in FIXED]
    about = dice.choice(list(SETTLEMENTS))
    named = {"pair": "p1", "gap": "g1", "time": "lim", "step": step, "stated": "rate", "breach": "x"}
    named |= {"prompts": "total", "identity": "identity"}
    settled, said_in_time = dice.choice(SETTLEMENTS[about]), dice.choice(["yes", "no", None])
    noticed, corrected = dice.choice([True, False, None]), dice.choice([True, None])
    choices: list[tuple[str, dict[str, Any]]] = [
        ("marked", {"step": step, "mark": dice.choice(MARKS)}),
        ("marked", {"step": step, "mark": "performed"}),
        ("marked", {"step": step, "mark": "performed"}),
        ("marked", {"step": step, "mark": "performed"}),
        ("marked", {"step": step, "mark": "performed", "caught_up": True, "in_time": said_in_time}),
        ("marked", {"step": step, "mark": "said", "after_outcome": True, "reason": "misheard"}),
        ("paused", {"reason": dice.choice([None, "alarm"])}),
        ("resumed", {}),
        ("finished", {}),
        ("measured", {"step": "a2", "value": dice.choice(["16", "20.5"]), "unit": "/min", "expected": "18"}),
        ("timed", {"step": "b2", "start_ms": at, "stop_ms": at + dice.choice([8999, 9000, 15001])}),
        ("prompted", {"kind": dice.choice(["time", "specific"])}),
        ("breach", {"kind": "asepsis", "noticed": noticed, "corrected": corrected}),
        ("discrepancy", {"which": "expired bag", "caught": dice.random() < 0.5}),
        ("stated", {"check": "rate", "number": dice.choice(["13.1", "41.7"]), "unit": dice.choice(["mL/h", None])}),
        ("stated", {"check": "rate", "number": "13.1", "unit": "mL/h"}),
        ("revealed", {"check": "rate"}),
        ("settled", {"about": {"type": about, "id": named[about]}, "verdict": settled, "reason": "seen"}),
        ("noted", {"text": "calm"}),
        ("rated", {"rating": dice.randrange(1, 6)}),
        ("clock_bridged", {"before_ms": max(0, at - 4000), "after_ms": at, "how": "wall"}),
    ]  # fmt: skip
    breaches = [event["id"] for event in log if event["kind"] == "breach"]
    if breaches:
        details = {"kind": "asepsis", "noticed": True, "corrected": True, "of": dice.choice(breaches)}
        choices.append(("breach", details))
    if ids:
        choices += [("retracted", {"event": ids[-1]}), ("retracted", {"event": dice.choice(ids)})]
    if dice.random() < 0.03:
        choices = [("stopped", {"reason": dice.choice(["safety", "time", "student", "lab"])})]
    return dice.choice(choices)


def random_case(dice: random.Random) -> dict[str, Any]:
    """A whole attempt: one or two sheets, perhaps moderation, some verdicts, now and then a bad event."""
    rule = random_rule(dice)
    sheets = [{"id": "s1", "kind": "primary", "events": random_log(dice)}]
    if dice.random() < 0.4:
        sheets.append({"id": "s2", "kind": "second", "events": random_log(dice, "s2")})
    if dice.random() < 0.2:
        log: list[dict[str, Any]] = []
        about = {"type": "step", "id": dice.choice(STEPS)}
        _append(dice, log, "m1", 0, "settled", {"about": about, "verdict": "performed", "reason": "recording"})
        sheets.append({"id": "m1", "kind": "moderation", "events": log})
    codes = ["right", "right_other_rounding", "wrong", "missing_unit", "unreadable"]
    verdicts = {
        event["id"]: {"code": dice.choice(codes), "number": "right"}
        for sheet in sheets
        for event in sheet["events"]
        if event["kind"] == "stated" and dice.random() < 0.8
    }
    if dice.random() < 0.1:
        _spoil(dice, sheets[0]["events"])
    return {
        "rule": rule,
        "sheets": sheets,
        "verdicts": verdicts,
        "accommodation": dice.choice([{}, {"time_factor": "1.25"}]),
        "attempt_no": dice.choice([1, 2]),
    }


FIXED = frozenset({"started", "revealed", "verified", "handed_over", "taken_over", "clock_bridged"})


def _append(dice: random.Random, log: list[dict[str, Any]], sheet: str, at: int, kind: str, payload: Any) -> None:
    seq = len(log) + 1
    log.append(
        {
            "id": f"{sheet}-{seq}",
            "sheet": sheet,
            "by": "u1",
            "device": f"tablet-{sheet}",
            "seq": seq,
            "at_ms": at,
            "wall": WALL.format(at % 1000),
            "kind": kind,
            "payload": payload,
            "source": "tablet",
        }
    )


def _spoil(dice: random.Random, log: list[dict[str, Any]]) -> None:
    """Break one field of one event in place."""
    event = dice.choice(log)
    name = dice.choice([*event, "payload", "payload", "payload"])
    if name == "payload" and event["payload"]:
        inner = dice.choice(list(event["payload"]))
        event["payload"] = {**event["payload"], inner: dice.choice([None, 7, "other", True, -1, {}, [], ""])}
    elif dice.random() < 0.3:
        del event[name]
    else:
        event[name] = dice.choice([None, 7, "other", True, -1, {}, []])
