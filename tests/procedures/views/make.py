"""What the tests of these pages share: addresses, and forms as a browser posts them back."""

from __future__ import annotations

from typing import Any

from django.urls import reverse

from checkoffs.procedures.content import numbered_steps
from checkoffs.procedures.forms.rule import RuleForm, rule_lists
from checkoffs.procedures.models import Procedure, ProcedureDraft


def address(name: str, procedure: Procedure, **more: Any) -> str:
    return reverse(f"procedures:{name}", kwargs={"procedure": procedure.pk, **more})


def content_of(procedure: Procedure) -> Any:
    return ProcedureDraft.objects.get(procedure=procedure).content


def edit(client: Any, procedure: Procedure, do: str, revision: int = 1, **fields: Any) -> Any:
    return client.post(address("edit", procedure), {"revision": revision, "do": do, **fields})


def step_data(procedure: Procedure, step: str, **changes: Any) -> dict[str, Any]:
    """A step's form as a browser would post it back."""
    found = next(one for one in numbered_steps(content_of(procedure)) if one.step["id"] == step)
    return {
        "text": found.step["text"],
        "section": found.section["id"],
        "points": "1",
        "marks": ["performed", "not_performed"],
        "subpoints": "\n".join(found.step["subpoints"]),
    } | changes


def posted(form: Any) -> dict[str, Any]:
    """A form as a browser posts it back unchanged: ticked boxes only, nothing for empty fields."""
    shown = {bound.html_name: bound.value() for bound in form}
    return {
        name: "on" if value is True else value
        for name, value in shown.items()
        if value is not None and value is not False and value != ""
    }


def rule_data(content: Any) -> dict[str, Any]:
    """The rule page as a browser posts it back unchanged."""
    lists = rule_lists(content).values()
    forms = [RuleForm(content=content), *(form for lines in lists for form in (lines.management_form, *lines))]
    return {name: value for form in forms for name, value in posted(form).items()}
