"""Whole snapshots as plain data, made by the real fold and decision from the invented attempt; no database."""

from __future__ import annotations

from typing import Any

from checkoffs.procedures.content import scoring_rule
from checkoffs.records.snapshot import Seal, build
from checkoffs.scoring.decide import decide
from checkoffs.scoring.fold import fold
from checkoffs.scoring.rule_text import rule_sentences
from tests.records import infusion

SEALED = "2026-10-14T09:36:05Z"


def person(name: str) -> dict[str, str]:
    """A member of staff."""
    return {"name": name, "signature": f"{name}, RN", "opaque": name}


def seal(code: str = "SW-7KQ4-M2XE", index: int = 1874) -> Seal:
    """A seal with a salt of zeros, so that figures can be worked by hand."""
    return Seal(code, index, SEALED, bytes(16))


def source(sheets: list[tuple[str, str, str, list[dict[str, Any]]]] | None = None, **over: Any) -> dict[str, Any]:
    """What ``build`` takes. ``sheets``: (kind, id, evaluator, events); default: the failed primary sheet."""
    content = over.pop("content", None) or infusion.content()
    rule = scoring_rule(content)
    sheets = [("primary", infusion.SHEET, "Jo Castellane", infusion.events())] if sheets is None else sheets
    decision = decide(
        rule, [{"id": key, "kind": kind, "events": events} for kind, key, _, events in sheets]
    ).as_dict()
    made = {
        "program": {
            "name": "Practical Nursing", "institution": "Harrowmere College", "time_zone": "Europe/London",
        },
        "student": {"name": "Marit Adeyemi", "number": "H-20418", "opaque": "of the student"},
        "procedure": {"title": content["title"], "version": 3, "digest": "ab" * 32, "content": content},
        "rule": rule,
        "rule_text": rule_sentences(rule, {}),
        "attempt": {
            "id": "of the attempt", "number": 2, "purpose": "summative", "place": "station 4",
            "opened_at": "2026-10-14T09:04:00Z", "opened_by": person("Jo Castellane"), "time_factor": "1",
            "cohort": "26-A", "no_show": not sheets, "no_show_reason": "" if sheets else "Did not come to the slot.",
        },
        "sheets": [
            {
                "id": key, "kind": kind, "evaluator": person(name), "signed_at": "2026-10-14T09:36:00Z",
                "signed_how": "password", "shown": "" if kind == "moderation" else "no_statement",
                "shown_at": None if kind == "moderation" else "2026-10-14T09:34:00Z", "statement": "",
                "state": fold(rule, events).as_dict(), "events": events,
            }
            for kind, key, name, events in sheets
        ],
        "decision": decision,
        "case": infusion.CASE if sheets else None,
        "versions": {"fold": "1", "calculators": "1.0", "procedure": 3},
    }  # fmt: skip
    return made | over


def record(**over: Any) -> dict[str, Any]:
    """The failed attempt: hub not scrubbed, rate stated 28.9 for 13.1 mL/h."""
    return build(source(**over), seal())


def moderated() -> dict[str, Any]:
    """Two sheets that differ at step 24, settled by an instructor."""
    first = infusion.events(marks={24: (955, "performed")}, rate="13.1")
    second = infusion.events(marks={24: (1028, "not_performed")}, rate="13.1", sheet=infusion.SECOND)
    log = infusion.Log(infusion.MODERATION, by="of the moderator", device="of the server")
    log.add("settled", 0, about={"type": "step", "id": "s24"}, verdict="not_performed", reason="The second saw it.")
    return record(
        sheets=[
            ("primary", infusion.SHEET, "Jo Castellane", first),
            ("second", infusion.SECOND, "Mina Farrow", second),
            ("moderation", infusion.MODERATION, "Ruth Okonjo", log.events),
        ]
    )
