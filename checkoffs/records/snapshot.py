"""The canonical snapshot of a sealed attempt, made of plain data only.

Shape (JSON; text unless said otherwise; times in ISO 8601 with Z; doses and scores as decimal text, never floats)::

    {"format": "stepwitness-record-1", "kind": "record|amendment|void", "code", "index": int, "sealed_at",
     "salt": 32 hex digits,
     "outcome": "satisfactory|unsatisfactory|void",                        what stands with this document
     "program": {"name", "institution", "time_zone"}, "student": {"name", "number", "opaque"},
     "procedure": {"title", "version": int, "digest", "sections": [{"id", "letter", "title", "steps": [{"id",
         "number": int, "text", "critical": bool, "critical_reason", "optional": bool, "subpoints", "measured",
         "timed"}]}]},
     "rule": the scoring rule document, "rule_text": [sentences],
     "attempt": {"id", "number": int, "purpose", "place", "opened_at", "opened_by": {"name", "signature", "opaque"},
         "time_factor", "cohort", "no_show": bool, "no_show_reason"},
     "sheets": [{"kind", "evaluator": {"name", "signature", "opaque"}, "signed_at", "signed_how", "shown", "shown_at",
         "statement", "state": the folded sheet, "events": [all events, in order]}],
     "decision": the whole decision, every reason included,
     "case": null | {"title", "order", "values": [{"label", "value"}], "checks": [{"id", "label", "sheet": int,
         "said", "unit", "at_ms": int|null, "expected", "accepted", "verdict", "slips", "working"}]},
     "versions": {"fold", "calculators", "procedure": int},
     and in an amendment or a void:
     "amends": {"code", "digest", "index": int}, "reason", "author": {"name", "signature", "opaque"},
     "correction": {"outcome": null|text, "text"}}                          of an amendment only

An amendment repeats the whole record it amends, so that each document can be read alone. ``decision`` is never
touched: it stays what the rule gave; ``outcome`` is what stands after the correction.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

Json = dict[str, Any]
FORMAT = "stepwitness-record-1"
OUTCOMES = ("satisfactory", "unsatisfactory", "void")
STEP_FIELDS = ("id", "text", "critical", "critical_reason", "optional", "subpoints", "measured", "timed")


class SnapshotError(ValueError):
    """The data cannot be a record; ``field`` says which part."""

    def __init__(self, field: str, message: str) -> None:
        super().__init__(f"{field}: {message}")
        self.field = field


@dataclass(frozen=True)
class Seal:
    """What only this one document has: its code, its place among the leaves, when it was made, 16 random bytes."""

    code: str
    index: int
    sealed_at: str
    salt: bytes


def letter(position: int) -> str:
    """A for the first section, Z for the 26th, then AA."""
    name, rest = "", position
    while True:
        rest, sign = divmod(rest, 26)
        name = chr(ord("A") + sign) + name
        if rest == 0:
            return name
        rest -= 1


def sections_of(content: Mapping[str, Any]) -> list[Json]:
    """The steps as they were asked, lettered and numbered; cues and teaching notes stay out of the record."""
    sections, number = [], 0
    for position, section in enumerate(content["sections"]):
        steps = []
        for step in section["steps"]:
            number += 1
            steps.append({"number": number, **{field: step.get(field) for field in STEP_FIELDS}})
        sections.append(
            {"id": section["id"], "letter": letter(position), "title": section["title"], "steps": steps},
        )
    return sections


def build(source: Mapping[str, Any], seal: Seal) -> Json:
    """The snapshot of a first sealing.

    ``source`` holds ``program``, ``student``, ``attempt``, ``sheets``, ``decision``, ``versions``, ``rule`` and
    ``rule_text`` in the shapes above, ``procedure`` as {"title", "version", "digest", "content"}, and ``case`` as
    None or {"title", "order", "values", "key": answer key}. Raises SnapshotError if the decision is not final.
    """
    procedure, decision = source["procedure"], source["decision"]
    if decision["outcome"] not in OUTCOMES:
        raise SnapshotError("decision", f"the outcome {decision['outcome']!r} is not final")
    return {
        **_head("record", seal),
        "outcome": decision["outcome"],
        "program": dict(source["program"]),
        "student": dict(source["student"]),
        "procedure": {
            "title": procedure["title"],
            "version": procedure["version"],
            "digest": procedure["digest"],
            "sections": sections_of(procedure["content"]),
        },
        "rule": source["rule"],
        "rule_text": list(source["rule_text"]),
        "attempt": dict(source["attempt"]),
        "sheets": [dict(sheet) for sheet in source["sheets"]],
        "decision": decision,
        "case": _case(source["case"], source["sheets"]),
        "versions": dict(source["versions"]),
    }


def _head(kind: str, seal: Seal) -> Json:
    if len(seal.salt) != 16:
        raise SnapshotError("salt", "a record has 16 bytes of salt")
    return {
        "format": FORMAT,
        "kind": kind,
        "code": seal.code,
        "index": seal.index,
        "sealed_at": seal.sealed_at,
        "salt": seal.salt.hex(),
    }


def amend(before: Json, digest: str, seal: Seal, *, author: Json, reason: str, correction: Json) -> Json:
    """The record again, with a correction: ``correction`` = {"outcome": null|text, "text"}."""
    outcome = correction["outcome"] or before["outcome"]
    if outcome not in OUTCOMES:
        raise SnapshotError("outcome", f"{outcome!r} is not an outcome")
    made = _follow("amendment", before, digest, seal, author, reason)
    return {**made, "outcome": outcome, "correction": {"outcome": correction["outcome"], "text": correction["text"]}}


def void(before: Json, digest: str, seal: Seal, *, author: Json, reason: str) -> Json:
    """The record again, no longer counting."""
    made = _follow("void", before, digest, seal, author, reason)
    return {**made, "outcome": "void"}


def _follow(kind: str, before: Json, digest: str, seal: Seal, author: Json, reason: str) -> Json:
    if not reason.strip():
        raise SnapshotError("reason", "a change needs a reason")
    kept = {name: value for name, value in before.items() if name not in {"amends", "reason", "author", "correction"}}
    return {
        **kept,
        **_head(kind, seal),
        "amends": {"code": before["code"], "digest": digest, "index": before["index"]},
        "author": author,
        "reason": reason.strip(),
    }


def _case(case: Mapping[str, Any] | None, sheets: Iterable[Mapping[str, Any]]) -> Json | None:
    if case is None:
        return None
    witnesses = [(place, sheet) for place, sheet in enumerate(sheets) if sheet["kind"] != "moderation"]
    checks = [
        _check(check, place, sheet["state"].get("stated", {}).get(check["id"]))
        for check in (case["key"] or {}).get("checks", [])
        for place, sheet in witnesses
    ]
    return {"title": case["title"], "order": case["order"], "values": list(case["values"]), "checks": checks}


def _check(check: Mapping[str, Any], place: int, stated: Mapping[str, Any] | None) -> Json:
    stated = stated or {}
    verdict = stated.get("verdict") or {}
    workings = {slip["code"]: slip.get("working", []) for slip in check.get("slips", [])}
    slips = [{**slip, "working": workings.get(slip["code"], [])} for slip in verdict.get("slips", [])]
    return {
        "id": check["id"],
        "label": check["label"],
        "sheet": place,
        "said": stated.get("number"),
        "unit": stated.get("unit"),
        "at_ms": stated.get("at_ms"),
        "expected": check["text"],
        "accepted": check["accepted"],
        "verdict": verdict or None,
        "slips": slips,
        "working": check["working"],
    }
