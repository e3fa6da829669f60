"""Reading case templates."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet

from checkoffs.cases import drawing
from checkoffs.cases.errors import CaseError
from checkoffs.cases.models import CaseTemplate
from checkoffs.ledger.queries import entries_about
from checkoffs.people.permissions import Access, Act
from checkoffs.procedures.errors import ColleagueChange

SAVED = "case.saved"


def templates_of(access: Access, act: Act = Act.READ_PROCEDURES) -> QuerySet[CaseTemplate]:
    """The templates in use in the programs in which the act is granted."""
    programs = access.programs(act)
    return CaseTemplate.objects.filter(procedure__program__in=programs, retired_at=None).select_related("procedure")


def answers(template: CaseTemplate) -> set[str]:
    """The ids of the values a template has an answer for."""
    return {check["id"] for check in template.content.get("checks", [])}


def preview(template: CaseTemplate, seed: int = 1) -> dict[str, Any]:
    """One case as it would be drawn, nothing stored: {"content"} or {"error": CaseError as data}."""
    try:
        return {"content": drawing.draw(template.content, seed).content}
    except CaseError as error:
        return {"error": error.as_dict()}


def all_templates(access: Access, act: Act = Act.WRITE_CASES) -> QuerySet[CaseTemplate]:
    """The templates of the programs in which the act is granted, those out of use too."""
    found = CaseTemplate.objects.filter(procedure__program__in=access.programs(act))
    return found.select_related("procedure__program", "updated_by")


def changes_since(template: CaseTemplate, revision: int) -> list[ColleagueChange]:
    """The saves after a revision, oldest first, as the audit trail has them."""
    entries = entries_about(template).filter(act=SAVED).order_by("-id")[:50]
    return [
        ColleagueChange(str(entry.by), entry.at, tuple(entry.detail.get("changed", [])))
        for entry in reversed(entries)
        if int(entry.detail.get("revision", 0)) > revision
    ]
