"""What a student reads after an attempt: what decided, each miss with why it matters and what right looks like. Pure.

    review_of(snapshot, teaching) -> {
        "outcome", "decided": codes, "practice": bool,
        "sentence": one line that says what decided and how the rest was,
        "reasons", "also": [reason in words],                     in words; also: those that are no miss
        "met": [{"text", "icon"}],
        "missed": [miss],                                          deciding ones first, then by step number
        "values", "values_right": [stated value],                  as in ``worked.stated_values``
        "done", "asked": steps done as asked, of the steps that applied}

    miss = {"key", "step": id|None, "number", "critical", "decides", "title", "seen": [sentence], "why",
            "right": [text], "value": id of the stated value it is about, or ""}

``teaching`` = {step id: {"why", "right"}} of the version that was scored (``teaching_of``): the record itself holds
no teaching notes. Cues are the evaluator's and occur nowhere here.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from checkoffs.records import paper_words as words
from checkoffs.records.kept_words import kept_in_words
from checkoffs.records.paper import terms_of
from checkoffs.records.paper_steps import NAMES as BREACH_WORDS
from checkoffs.records.paper_steps import PROMPTS
from checkoffs.records.reason_words import in_words
from checkoffs.records.terms import Terms
from checkoffs.review.summary import sentence
from checkoffs.review.worked import stated_values

Json = dict[str, Any]
STEP_CODES = {
    "critical_missed", "step_missed", "step_late", "step_too_short", "step_too_long", "measured_out", "measured_unit",
    "step_value_wrong",
}  # fmt: skip
BREACH_CODES = {"breach_unnoticed", "breach_uncorrected"}
ALONE = {"time_over", "score_below", "prompts_exceeded", "safety_stop", "stopped", "discrepancy_missed"}


def teaching_of(content: Mapping[str, Any]) -> dict[str, Json]:
    """Why a step matters and what right looks like, by step id, from a version's content; no cue is taken along."""
    return {
        step["id"]: {"why": step.get("why") or "", "right": list(step.get("right") or [])}
        for section in content["sections"]
        for step in section["steps"]
    }


def review_of(snapshot: Mapping[str, Any], teaching: Mapping[str, Mapping[str, Any]]) -> Json:
    """See the module's docstring."""
    terms = terms_of(snapshot)
    own = [reason for reason in snapshot["decision"]["reasons"] if "sheet" not in reason]
    missed = misses(snapshot, teaching, terms, own)
    reasons = snapshot["decision"]["reasons"]
    shown = {entry["key"] for entry in missed}
    done, asked = counts(snapshot, missed)
    values = stated_values(snapshot)
    return {
        "outcome": snapshot["outcome"],
        "decided": snapshot["decision"]["outcome"],
        "practice": snapshot["attempt"]["purpose"] != "summative",
        "sentence": sentence(snapshot, missed, done, asked),
        "reasons": [in_words(reason, terms) for reason in reasons if reason["decides"]],
        "also": [
            in_words(reason, terms)
            for reason in reasons
            if not reason["decides"] and _subject(reason, terms)[0] not in shown
        ],
        "met": [
            {"text": text, "icon": "performed"}
            for item in snapshot["decision"]["met"]
            if (text := kept_in_words(item, terms))
        ],
        "missed": missed,
        "values": values,
        "values_right": [value for value in values if value["right"]],
        "done": done,
        "asked": asked,
    }


def misses(
    snapshot: Mapping[str, Any], teaching: Mapping[str, Mapping[str, Any]], terms: Terms, reasons: Iterable[Json]
) -> list[Json]:
    """One entry for each thing missed; several reasons about one step make one entry."""
    listed = list(reasons)
    state = _first_state(snapshot)
    wrong = {reason["check"] for reason in listed if reason["code"] == "stated_wrong"}
    found: dict[str, Json] = {}
    for reason in listed:
        if reason["code"] == "step_value_wrong" and reason.get("check") in wrong:
            continue  # the stated value itself is shown
        key, step = _subject(reason, terms)
        if key is None:
            continue
        entry = found.setdefault(key, _entry(key, step, reason, terms, teaching))
        entry["decides"] = entry["decides"] or bool(reason["decides"])
        entry["critical"] = entry["critical"] or bool(reason.get("critical"))
        entry["seen"] += [text for text in _told(reason, terms, key) if text not in entry["seen"]]
    for entry in found.values():
        if entry["key"].startswith("step:") and state is not None:
            entry["seen"] = [*_mark(state["steps"].get(entry["step"], {})), *entry["seen"]]
        if entry["step"] and state is not None:
            entry["seen"] += list(_beside(state, entry["step"], breaches=not entry["key"].startswith("breach:")))
    return sorted(found.values(), key=lambda entry: (not entry["decides"], entry["number"] or 10**6, entry["key"]))


def counts(snapshot: Mapping[str, Any], missed: Iterable[Json]) -> tuple[int, int]:
    """Steps done as asked, and steps that applied, as the first sheet saw them; (0, 0) without a sheet."""
    state = _first_state(snapshot)
    if state is None:
        return 0, 0
    lost = {entry["step"] for entry in missed if entry["key"].startswith(("step:", "stated:"))}
    marks = {key: seen["mark"] for key, seen in state["steps"].items() if seen["mark"] != "not_applicable"}
    unseen = {None, "not_observed"}
    return sum(mark not in unseen and key not in lost for key, mark in marks.items()), len(marks)


def _first_state(snapshot: Mapping[str, Any]) -> Json | None:
    return next((sheet["state"] for sheet in snapshot["sheets"] if sheet["kind"] == "primary"), None)


def _subject(reason: Mapping[str, Any], terms: Terms) -> tuple[str | None, str | None]:
    """What a reason is about: the key of its entry, and the step whose teaching belongs to it."""
    code = reason["code"]
    if code in STEP_CODES:
        return f"step:{reason['step']}", reason["step"]
    if code == "stated_wrong":
        asked: Mapping[str, Any] = next(
            (item for item in terms.rule.get("stated", []) if item["id"] == reason["check"]), {}
        )
        return f"stated:{reason['check']}", asked.get("step")
    if code == "order_broken":
        return f"pair:{reason['pair']}", reason["before"]
    if code in ("gap_short", "gap_long"):
        return f"gap:{reason['gap']}", reason["to"]
    if code in BREACH_CODES:
        return f"breach:{reason.get('step') or reason['breach_kind']}", reason.get("step")
    if code == "time_over":
        return f"limit:{reason['limit']}", reason.get("of") if reason["scope"] == "step" else None
    return (code, None) if code in ALONE else (None, None)


def _entry(key: str, step: str | None, reason: Json, terms: Terms, teaching: Mapping[str, Mapping[str, Any]]) -> Json:
    taught = teaching.get(step or "", {})
    listed: Mapping[str, Any] = terms.steps.get(step or "", {})
    return {
        "key": key,
        "step": step,
        "number": terms.step(step),
        "critical": False,
        "decides": False,
        "value": key.removeprefix("stated:") if key.startswith("stated:") else "",
        "title": str(listed["text"]) if key.startswith("step:") else in_words(reason, terms)["title"],
        "seen": [],
        "why": taught.get("why") or listed.get("critical_reason") or "",
        "right": list(taught.get("right") or []),
    }


def _told(reason: Json, terms: Terms, key: str) -> Iterator[str]:
    """What a reason adds to what was seen; its effect on the patient is said under *why*, not here."""
    said = in_words(reason | {"critical": False}, terms)
    if said["detail"] and reason["code"] not in ("critical_missed", "step_missed"):
        yield said["detail"]
    if not key.startswith("step:") and said["evidence"]:
        yield f"{said['evidence'][0].upper()}{said['evidence'][1:]}."


def _mark(seen: Mapping[str, Any]) -> Iterator[str]:
    mark = words.MARKS.get(seen.get("mark"), "open")
    if seen.get("mark") is None:
        yield "Not marked."
    elif seen.get("caught_up") or seen.get("at_ms") is None:
        yield f"{mark.capitalize()}; marked without a time of its own."
    else:
        yield f"{mark.capitalize()}, marked {words.clock(seen['at_ms'])}."


def _beside(state: Mapping[str, Any], step: str, *, breaches: bool) -> Iterator[str]:
    """Prompts, breaches and notes that belong to the step."""
    for item in state["prompts"]:
        if item["step"] == step:
            yield f"{PROMPTS[item['kind']]}, {words.clock(item['at_ms'])}."
    for item in state["breaches"] if breaches else ():
        if item["step"] == step:
            yield f"{BREACH_WORDS[item['kind']]}, {words.clock(item['at_ms'])}."
    for item in state["notes"]:
        if item["step"] == step:
            yield f"Noted: “{item['text']}”"
