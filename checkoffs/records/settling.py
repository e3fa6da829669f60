"""What a moderator has to settle, and what an evaluator still has to settle before signing. Pure.

Both are read from a decision and say each thing in words, with the two answers there are.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from checkoffs.records import paper_words as words

Json = dict[str, Any]
# type of settlement → its two answers, the kept one first
ANSWERS = {
    "step": ("performed", "not_performed"),
    "pair": ("kept", "broken"),
    "gap": ("kept", "broken"),
    "time": ("in_time", "late"),
    "stated": ("right", "wrong"),
    "breach": ("kept", "broken"),
    "prompts": ("kept", "broken"),
    "identity": ("kept",),  # a wrong student is moved, not settled
}
ANSWER_WORDS = {
    ("breach", "kept"): "noticed and put right",
    ("breach", "broken"): "not noticed",
    ("identity", "kept"): "the identity was seen",
    ("gap", "kept"): "time between them kept",
    ("gap", "broken"): "time between them not kept",
    ("pair", "kept"): "order kept",
    ("pair", "broken"): "order broken",
}


def answer_word(kind: str, verdict: str) -> str:
    """An answer as the moderator reads it."""
    return ANSWER_WORDS.get((kind, verdict), words.SETTLED.get(verdict, verdict))


def still_to_settle(preview: Mapping[str, Any], state: Mapping[str, Any]) -> list[Json]:
    """The items of ``preview["settle"]`` that the evaluator has to answer before signing.

    Two may be left: steps that stayed open because the attempt was ended early, and times of which the evaluator has
    said to be unsure; an instructor decides those if they matter.
    """
    left = []
    for item in preview["settle"]:
        step = state["steps"].get(item["id"], {})
        if item["type"] == "time" and (step.get("in_time") == "unsure" or _unsure_within(state)):
            continue
        if state["status"] == "stopped" and item["why"] in ("step_open", "not_stated"):
            continue
        left.append(dict(item))
    return left


def _unsure_within(state: Mapping[str, Any]) -> bool:
    return any(step.get("in_time") == "unsure" for step in state["steps"].values())


def to_moderate(decision: Mapping[str, Any], rule: Mapping[str, Any], states: Mapping[str, Json]) -> list[Json]:
    """[{"type", "id", "key", "about", "why", "answers": [{"verdict", "word"}], "seen": [text a sheet]}].

    ``states``: sheet id → folded state of each scoring sheet, in order. First what keeps the outcome open, then every
    step on which the sheets differ.
    """
    found: dict[str, Json] = {}
    for reason in _open_reasons(decision):
        about = _about(reason)
        if about is not None:
            found.setdefault(f"{about[0]}:{about[1]}", _item(*about, reason["code"], rule, states))
    for step in rule["steps"]:
        marks = [state["steps"].get(step, {}).get("mark") for state in states.values()]
        unseen = decision["outcome"] == "moderation" and "not_observed" in marks
        if len(set(marks)) > 1 or unseen:
            why = "not_observed" if unseen else "marks_differ"
            found.setdefault(f"step:{step}", _item("step", step, why, rule, states))
    return list(found.values())


def _open_reasons(decision: Mapping[str, Any]) -> Iterable[Json]:
    """Reasons that keep it open: of the decision, and of single sheets whose outcome differs."""
    yield from (reason for reason in decision["reasons"] if reason["decides"])
    for sheet in decision["sheets"]:
        yield from (reason for reason in sheet["reasons"] if reason["decides"])


def _about(reason: Mapping[str, Any]) -> tuple[str, str] | None:
    if reason["kind"] == "identity":
        return "identity", "identity"
    if reason["kind"] == "prompts":
        return "prompts", reason["of"]
    for kind, field in (
        ("pair", "pair"),
        ("gap", "gap"),
        ("breach", "breach"),
        ("time", "limit"),
        ("stated", "check"),
    ):
        if reason.get(field) and reason["kind"] != "critical":
            return kind, reason[field]
    if reason.get("step"):
        return ("time" if reason["code"] in ("time_unclear", "step_time_unclear") else "step"), reason["step"]
    return None


def _item(kind: str, key: str, why: str, rule: Mapping[str, Any], states: Mapping[str, Json]) -> Json:
    return {
        "type": kind,
        "id": key,
        "key": f"{kind}:{key}",
        "why": why,
        "step": _step_of(kind, key, rule),
        "answers": [{"verdict": verdict, "word": answer_word(kind, verdict)} for verdict in ANSWERS[kind]],
        "seen": [_seen(kind, key, rule, state) for state in states.values()],
    }


def _step_of(kind: str, key: str, rule: Mapping[str, Any]) -> str | None:
    """The step to show beside the question, if it is about one."""
    if key in rule["steps"]:
        return key
    if kind == "stated":
        return next((check.get("step") for check in rule["stated"] if check["id"] == key), None)
    return None


def _seen(kind: str, key: str, rule: Mapping[str, Any], state: Mapping[str, Any]) -> Json:
    """What one sheet holds about it: {"icon", "text"}."""
    if kind in ("step", "time") and key in state["steps"]:
        return _mark(state["steps"][key])
    if kind == "stated":
        said = state["stated"].get(key)
        return {"icon": "covered", "text": words.value(said["number"], said["unit"]) if said else "nothing stated"}
    if kind in ("pair", "gap"):
        item = next(entry for entry in rule[f"{kind}s"] if entry["id"] == key)
        first, second = (item["before"], item["after"]) if kind == "pair" else (item["from"], item["to"])
        times = [_mark(state["steps"].get(step, {}))["text"] for step in (first, second)]
        return {"icon": "lapse", "text": " · then · ".join(times)}
    if kind == "breach":
        found = next((breach for breach in state["breaches"] if breach["id"] == key), None)
        return {"icon": "breach", "text": f"at {words.clock(found['at_ms'])}" if found else "not recorded"}
    if kind == "prompts":
        return {"icon": "prompt", "text": f"{len(state['prompts'])} prompts"}
    if kind == "identity":
        return {"icon": "open", "text": state["identity"]["how"] if state["identity"] else "not recorded"}
    return {"icon": "lapse", "text": f"ended at {words.clock(state['counted_ms'])}"}


def _mark(step: Mapping[str, Any]) -> Json:
    mark = step.get("mark")
    time = "untimed" if step.get("caught_up") or step.get("at_ms") is None else words.clock(step["at_ms"])
    return {"icon": mark or "open", "text": f"{words.MARKS[mark]}, {time}" if mark else words.MARKS[mark]}
