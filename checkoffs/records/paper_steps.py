"""The list part of a record: steps with marks and times, what happened beside the list, where sheets differ. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from checkoffs.records import paper_words as words

Json = dict[str, Any]
NAMES = {"asepsis": "Break in asepsis", "safety": "Break in safety"}
PROMPTS = {"time": "Time prompt", "general": "General prompt", "specific": "Specific prompt"}
STOPS = {"safety": "for safety", "time": "for time", "student": "by the student", "lab": "by the lab"}


def numbers(snapshot: Mapping[str, Any]) -> dict[str, int]:
    """Step id → printed number."""
    return {step["id"]: step["number"] for section in snapshot["procedure"]["sections"] for step in section["steps"]}


def failed_steps(decision: Mapping[str, Any]) -> dict[str, str]:
    """Step id → code of the deciding reason that names it."""
    return {
        reason["step"]: reason["code"]
        for reason in decision["reasons"]
        if reason["decides"] and reason.get("step") and reason["kind"] != "safety"
    }


def sections(snapshot: Mapping[str, Any], state: Mapping[str, Any]) -> list[Json]:
    """[{"letter", "title", "end", "steps": [{"number", "text", "subpoints", "critical", "failed", "missed", "mark",
    "word", "extra", "time"}]}]: the list as one sheet saw it; times also in ms."""
    failed = failed_steps(snapshot["decision"])
    wrong = _stated_wrong(snapshot)
    settled = settlements(snapshot)
    made = []
    for section in snapshot["procedure"]["sections"]:
        steps = [
            _step(step, state["steps"].get(step["id"], {}), failed, wrong, settled.get(f"step:{step['id']}"))
            for step in section["steps"]
        ]
        times = [
            seen["at_ms"]
            for step in section["steps"]
            if (seen := state["steps"].get(step["id"], {})).get("at_ms") is not None and not seen.get("caught_up")
        ]
        made.append(
            {
                "letter": section["letter"],
                "title": section["title"],
                "end": words.clock(max(times)) if times else "",
                "end_ms": max(times, default=None),
                "steps": steps,
            }
        )
    return made


def _stated_wrong(snapshot: Mapping[str, Any]) -> dict[str, bool]:
    """Step id → whether the value stated there was wrong, where one is stated and decided the outcome or not."""
    checks = {check["id"]: check["step"] for check in snapshot["rule"].get("stated", []) if check.get("step")}
    return {
        checks[reason["check"]]: bool(reason["decides"])
        for reason in snapshot["decision"]["reasons"]
        if reason["code"] == "stated_wrong" and reason["check"] in checks and "sheet" not in reason
    }


def _step(
    step: Json,
    seen: Mapping[str, Any],
    failed: Mapping[str, str],
    wrong: Mapping[str, bool],
    settled: Mapping[str, Any] | None,
) -> Json:
    mark, extra = seen.get("mark"), _extra(seen)
    if settled:
        extra = "; ".join(filter(None, [extra, f"marked {words.MARKS[mark]}, settled at moderation"]))
        mark = settled["verdict"]
    word, icon = words.MARKS.get(mark, str(mark)), mark or "open"
    if step["id"] in wrong and mark in ("performed", "self_corrected", "prompted"):
        word, icon = "stated wrong", "not_performed"
    untimed = seen.get("caught_up") or seen.get("at_ms") is None
    return {
        "number": step["number"],
        "text": step["text"],
        "subpoints": step.get("subpoints") or [],
        "optional": bool(step.get("optional")),
        "critical": step["critical"],
        "failed": step["id"] in failed or wrong.get(step["id"], False),
        "missed": mark in ("not_performed",) or step["id"] in wrong,
        "mark": icon,
        "word": word,
        "extra": extra,
        "at_ms": seen.get("at_ms"),
        "caught_up": bool(seen.get("caught_up")),
        "time": "untimed" if untimed and mark not in (None, "not_applicable") else words.clock(seen.get("at_ms")),
    }


def _extra(seen: Mapping[str, Any]) -> str:
    """A measured value and a stopwatch reading of the step, in words."""
    parts = []
    measured, timed = seen.get("measured"), seen.get("timed")
    if measured:
        aim = f", evaluator’s own {measured['expected']}" if measured.get("expected") else ""
        parts.append(f"measured {measured['value']} {measured['unit']}{aim}")
    if timed:
        parts.append(f"took {words.clock(timed['stop_ms'] - timed['start_ms'])}")
    if seen.get("in_time"):
        parts.append({"yes": "in time", "no": "late", "unsure": "in time or not: unsure"}[seen["in_time"]])
    return "; ".join(parts)


def beside(snapshot: Mapping[str, Any], state: Mapping[str, Any], events: Iterable[Json]) -> list[Json]:
    """[{"icon", "text", "time"}] by time: prompts, pauses, breaches, notes, late statements, bridges, stop."""
    number = numbers(snapshot)
    rows: list[tuple[int, Json]] = []

    def add(at_ms: int | None, icon: str, text: str) -> None:
        rows.append((10**12 if at_ms is None else at_ms, {"icon": icon, "text": text, "time": words.clock(at_ms)}))

    def at(step: str | None) -> str:
        return f", step {number[step]}" if step in number else ""

    for item in state["prompts"]:
        add(item["at_ms"], "prompt", PROMPTS[item["kind"]] + at(item["step"]))
    uncounted = 0
    for item in state["pauses"]:
        length = (item["to_ms"] or item["from_ms"]) - item["from_ms"]
        counts = "counted" if item["counts"] else "not counted"
        why = f", {item['reason']}" if item["reason"] else ", no reason given"
        add(item["from_ms"] - uncounted, "paused", f"Paused {words.clock(length)}{why}; {counts}")
        uncounted += 0 if item["counts"] else length
    for item in state["breaches"]:
        add(item["at_ms"], "breach", f"{NAMES[item['kind']]}{at(item['step'])}; {_put_right(item)}")
    for item in state["discrepancies"]:
        add(item["at_ms"], "prompt", f"Planted: {item['which']}; {'caught' if item['caught'] else 'not caught'}")
    for item in state["notes"]:
        add(item["at_ms"], "note", f"Note{at(item['step'])}: {item['text']}")
    for check, item in state["stated"].items():
        for late in item["later"]:
            said = words.value(late["number"], late["unit"]) if late["kind"] == "stated" else "taken back"
            add(late["at_ms"], "covered", f"{_label(snapshot, check)}: {said}; too late to count ({late['why']})")
    for item in state["bridges"]:
        gap = words.clock(item["after_ms"] - item["before_ms"])
        add(item["before_ms"], "lapse", f"The tablet’s clock stopped; {gap} bridged by the {item['how']} clock")
    if state["stop"]:
        text = f": {state['stop']['text']}" if state["stop"]["text"] else ""
        add(state["finished_ms"], "not_performed", f"Ended early {STOPS[state['stop']['reason']]}{text}")
    if state["rating"]:
        add(None, "note", f"Overall judgement {state['rating']} of 5, given before the outcome was shown")
    rows += _changed_after(events, number)
    return [row for _, row in sorted(rows, key=lambda row: row[0])]


def _put_right(breach: Mapping[str, Any]) -> str:
    if breach["noticed"] is None:
        return "not said whether noticed"
    if not breach["noticed"]:
        return "not noticed"
    return "noticed and put right" if breach["corrected"] else "noticed, not put right"


def _label(snapshot: Mapping[str, Any], check: str) -> str:
    return next((item["label"] for item in snapshot["rule"].get("stated", []) if item["id"] == check), check)


def _changed_after(events: Iterable[Json], number: Mapping[str, int]) -> list[tuple[int, Json]]:
    """Changes made after the evaluator had seen the outcome, each with its reason."""
    rows = []
    for event in events:
        payload = event["payload"]
        if not payload.get("after_outcome"):
            continue
        step = number.get(payload.get("step", ""))
        what = f"step {step} marked {words.MARKS[payload['mark']]}" if event["kind"] == "marked" else event["kind"]
        text = f"Changed after the outcome was seen: {what}. Reason: {payload['reason']}"
        rows.append((10**12, {"icon": "undo", "text": text, "time": ""}))
    return rows


def differences(snapshot: Mapping[str, Any]) -> list[Json]:
    """[{"number", "text", "critical", "marks": [{"icon", "word"}], "settled", "reason"}] where sheets differ."""
    scored = [sheet for sheet in snapshot["sheets"] if sheet["kind"] != "moderation"]
    if len(scored) < 2:
        return []
    settled = settlements(snapshot)
    rows = []
    for section in snapshot["procedure"]["sections"]:
        for step in section["steps"]:
            marks = [sheet["state"]["steps"].get(step["id"], {}).get("mark") for sheet in scored]
            if len(set(marks)) > 1:
                final = settled.get(f"step:{step['id']}")
                rows.append(
                    {
                        "number": step["number"],
                        "text": step["text"],
                        "critical": step["critical"],
                        "marks": [{"icon": mark or "open", "word": words.MARKS[mark]} for mark in marks],
                        "settled": words.SETTLED.get(final["verdict"], final["verdict"]) if final else "both kept",
                        "reason": final["reason"] if final else "",
                    }
                )
    return rows


def moderated(snapshot: Mapping[str, Any]) -> list[Json]:
    """[{"about", "verdict", "reason"}]: each thing an instructor settled at moderation, in words."""
    number = numbers(snapshot)
    return [
        {
            "about": _about(name, snapshot, number),
            "verdict": words.SETTLED.get(settled["verdict"], settled["verdict"]),
            "reason": settled["reason"],
        }
        for name, settled in settlements(snapshot).items()
    ]


def _about(name: str, snapshot: Mapping[str, Any], number: Mapping[str, int]) -> str:
    kind, _, key = name.partition(":")
    rule = snapshot["rule"]
    if kind == "pair":
        pair = next(item for item in rule["pairs"] if item["id"] == key)
        return f"step {number[pair['before']]} before step {number[pair['after']]}"
    if kind == "gap":
        gap = next(item for item in rule["gaps"] if item["id"] == key)
        return f"time between steps {number[gap['from']]} and {number[gap['to']]}"
    if kind == "stated":
        return f"stated value: {_label(snapshot, key)}"
    if key in number:
        return f"step {number[key]}" if kind == "step" else f"time of step {number[key]}"
    return {"time": "time limit", "breach": "breach", "prompts": "prompts", "identity": "identity"}.get(kind, kind)


def settlements(snapshot: Mapping[str, Any]) -> dict[str, Json]:
    """ "step:s24" → {"verdict", "reason", ...} of the moderation, the last sheet winning."""
    found: dict[str, Json] = {}
    for sheet in snapshot["sheets"]:
        if sheet["kind"] == "moderation":
            found |= sheet["state"]["settled"]
    return found
