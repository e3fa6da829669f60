"""The bundle: everything a tablet needs for one sheet, in one answer, so that the network is optional afterwards.

It holds the opened sheet's own events and nothing of other sheets: second sheets stay blind. Its answer key must
never be rendered into a page; tablets keep it in their database only.
"""

from __future__ import annotations

from typing import Any

from django.urls import reverse
from django.utils import timezone

from checkoffs.attempts.eventlog import wall
from checkoffs.attempts.models import Sheet
from checkoffs.attempts.queries import counting_number, events_of, factor_text, rule_document
from checkoffs.cases.models import DrawnCase
from checkoffs.people.permissions import Access, Act
from checkoffs.procedures.content import completed, section_letter

PROTOCOL = "1"


def bundle_of(sheet: Sheet, access: Access) -> dict[str, Any]:
    """The bundle of a sheet for its evaluator; keys as used below.

    A fellow student who scores practice gets no cues: those are for evaluators and are never shown to students.
    """
    attempt = sheet.attempt
    return {
        "protocol": PROTOCOL,
        "sheet": {
            "id": str(sheet.pk),
            "kind": sheet.kind,
            "version": sheet.stored,
            "device": str(sheet.device) if sheet.device else None,
            "signed": sheet.signed_at is not None,
        },
        "attempt": {
            "id": str(attempt.pk),
            "number": attempt.number,
            "attempt_no": counting_number(attempt),  # for decide(): practice and void attempts do not count
            "purpose": attempt.purpose,
            "time_factor": factor_text(attempt.time_factor),
            "place": attempt.place,
            "state": attempt.state,
        },
        "student": {"called": attempt.student.called, "opaque": str(attempt.student.opaque)},
        "evaluator": {
            "called": sheet.evaluator.called,
            "opaque": str(sheet.evaluator.opaque),
            "signature": sheet.evaluator.signature,
        },
        "procedure": _procedure(sheet, with_cues=access.may(Act.SCORE, cohort=attempt.cohort)),
        "rule": rule_document(attempt.version),
        "case": _case(attempt.case),
        "key": attempt.case.answer_key if attempt.case else None,
        "events": events_of(sheet),
        "server_time": wall(timezone.now()),
        "addresses": addresses(sheet, access),
    }


def addresses(sheet: Sheet, access: Access) -> dict[str, str]:
    """Where the tablet sends events, asks to take over, signs, and goes when all is done."""
    return {
        "events": reverse("attempts:events", args=[sheet.pk]),
        "take_over": reverse("attempts:take_over", args=[sheet.pk]),
        "sign": reverse("records:sign", args=[sheet.pk]),
        "done": reverse("days:today" if access.may(Act.SCORE) else "site:home"),
    }


def _procedure(sheet: Sheet, *, with_cues: bool) -> dict[str, Any]:
    version = sheet.attempt.version
    content = completed(version.content)
    sections, number = [], 0
    for position, section in enumerate(content["sections"]):
        steps = []
        for step in section["steps"]:
            number += 1
            steps.append(_step(step, number, with_cues))
        sections.append(
            {"id": section["id"], "letter": section_letter(position), "title": section["title"], "steps": steps}
        )
    return {"title": content["title"], "version": version.number, "sections": sections}


def _step(step: Any, number: int, with_cues: bool) -> dict[str, Any]:
    return {
        "id": step["id"],
        "number": number,
        "text": step["text"],
        "cue": step["cue"] if with_cues else "",
        "critical": step["critical"],
        "marks": step["marks"],
        "subpoints": step["subpoints"],
        "phrases": step["phrases"],
        "measured": step["measured"],
        "timed": _milliseconds(step["timed"]),
        "optional": step["optional"],
    }


def _milliseconds(timed: Any) -> dict[str, int | None] | None:
    if timed is None:
        return None
    return {
        f"{name}_ms": None if timed.get(f"{name}_s") is None else timed[f"{name}_s"] * 1000
        for name in ("at_least", "at_most")
    }


def _case(case: DrawnCase | None) -> dict[str, Any] | None:
    if case is None:
        return None
    return {name: case.content[name] for name in ("title", "order", "lines")}
