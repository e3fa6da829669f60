"""Reading case templates."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet

from checkoffs.cases import drawing
from checkoffs.cases.errors import CaseError
from checkoffs.cases.models import CaseTemplate
from checkoffs.people.permissions import Access, Act


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
