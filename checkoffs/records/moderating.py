"""Reading what stands between a finished attempt and its seal: what is open, for whom, and what each sheet says."""

from __future__ import annotations

from typing import Any

from django.db.models import Q, QuerySet

from checkoffs.attempts import queries as attempts
from checkoffs.attempts.models import Attempt, Sheet, SheetKind, State
from checkoffs.people.models import Membership, Role
from checkoffs.people.permissions import Access, Act
from checkoffs.records import settling
from checkoffs.records.paper_words import listed
from checkoffs.records.reason_words import in_words
from checkoffs.records.snapshot import sections_of
from checkoffs.records.terms import Terms

Json = dict[str, Any]


def still_to_settle(sheet: Sheet) -> list[Json]:
    """What the evaluator has to answer before signing: {"type", "id", "why"}."""
    return settling.still_to_settle(attempts.preview_of(sheet), attempts.sheet_state(sheet))


def who_moderates(attempt: Attempt) -> str:
    """Who decides now, in words: the named moderator, or who may claim it."""
    sheet = attempt.sheets.filter(kind=SheetKind.MODERATION).select_related("evaluator").first()
    if sheet is not None:
        return sheet.evaluator.signature
    scored = attempt.sheets.exclude(kind=SheetKind.MODERATION).values("evaluator")
    held = Membership.objects.filter(role=Role.INSTRUCTOR, program=attempt.cohort.program)
    held = held.filter(Q(cohort=None) | Q(cohort=attempt.cohort)).exclude(person__in=scored)
    names = sorted({member.person.full_name for member in held.select_related("person")} - {str(attempt.student)})
    return listed(names) if names else "a moderator whom the coordinator names"


def who_signs_next(attempt: Attempt) -> str:
    """Whose signature is missing, in words."""
    rows = attempt.sheets.filter(signed_at=None).select_related("evaluator")
    return listed(row.evaluator.signature for row in rows)


def waiting_for(access: Access) -> QuerySet[Attempt]:
    """Attempts in moderation that this person may settle, claim or assign."""
    named = Sheet.objects.filter(kind=SheetKind.MODERATION, evaluator=access.person, signed_at=None).values("attempt")
    rows = Attempt.objects.filter(state=State.MODERATION)
    mine = attempts.attempts_needing_moderation(access).values("pk")
    return rows.filter(Q(pk__in=mine) | Q(pk__in=named)).select_related(
        "student", "cohort__program", "version__procedure", "case"
    )


def page_of(attempt: Attempt, access: Access) -> Json:
    """Everything the moderation page shows.

    Keys: attempt, access, moderator (person or None), may_settle, may_claim, may_assign, sheets [{"evaluator",
    "outcome", "statement", "notes"}], items (see ``settling.to_moderate``, with "title" and "detail"), reasons.
    """
    rows = list(attempt.sheets.select_related("evaluator").order_by("opened_at"))
    scored = [row for row in rows if row.kind != SheetKind.MODERATION]
    moderation = next((row for row in rows if row.kind == SheetKind.MODERATION), None)
    decision, rule = attempts.decision_of(attempt), attempts.rule_document(attempt.version)
    states = {str(row.pk): attempts.sheet_state(row) for row in scored}
    items = settling.to_moderate(decision, rule, states)
    texts = {step["id"]: step for section in attempt.version.content["sections"] for step in section["steps"]}
    checks = attempt.case.answer_key["checks"] if attempt.case else []
    terms = Terms.of(sections_of(attempt.version.content), rule, checks)
    for item in items:
        item |= _titled(item, rule, texts)
        for seen, row in zip(item["seen"], scored, strict=True):
            seen["who"] = str(row.evaluator)
    mine = moderation is not None and moderation.evaluator_id == access.person.pk
    may_claim = moderation is None and access.may(Act.MODERATE, cohort=attempt.cohort)
    outcomes = {one["id"]: one["outcome"] for one in decision["sheets"]}
    return {
        "attempt": attempt,
        "access": access,
        "moderator": moderation.evaluator if moderation else None,
        "may_settle": mine or may_claim,
        "may_assign": moderation is None and access.may(Act.NAME_MODERATOR, cohort=attempt.cohort),
        "items": items,
        "reasons": [in_words(reason, terms) for reason in decision["reasons"] if reason["decides"]],
        "sheets": [
            {
                "evaluator": row.evaluator,
                "outcome": outcomes.get(str(row.pk)),
                "statement": row.statement,
                "notes": states[str(row.pk)]["notes"],
            }
            for row in scored
        ],
    }


def _titled(item: Json, rule: Json, texts: dict[str, Json]) -> Json:
    """The question in words, with the number of the step it is about."""
    step = item["step"]
    number = rule["steps"][step]["number"] if step else None
    critical = bool(step and rule["steps"][step].get("critical"))
    about = {"number": number, "critical": critical, "detail": ""}
    if item["type"] == "step":
        return about | {"title": texts[step]["text"], "detail": texts[step].get("cue", "")}
    if item["type"] == "time" and step:
        return about | {"title": f"In time? {texts[step]['text']}"}
    if item["type"] == "stated":
        label = next(check.get("label", check["id"]) for check in rule["stated"] if check["id"] == item["id"])
        return about | {"title": f"Stated value: {label}"}
    if item["type"] in ("pair", "gap"):
        entry = next(entry for entry in rule[f"{item['type']}s"] if entry["id"] == item["id"])
        names = ("before", "after") if item["type"] == "pair" else ("from", "to")
        first, second = (f"step {rule['steps'][entry[name]]['number']}" for name in names)
        return about | {"title": f"{first.capitalize()} before {second}"}
    plain = {
        "breach": "Was the breach noticed and put right?",
        "prompts": "Prompts given",
        "identity": "Was the student’s identity seen?",
        "time": "The time limit",
    }
    return about | {"title": plain[item["type"]]}
