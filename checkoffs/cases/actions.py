"""Writing in the cases room: templates, and a case drawn for one attempt."""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.utils import timezone

from checkoffs.cases import drawing
from checkoffs.cases.errors import TemplateRefusedError
from checkoffs.cases.models import CaseTemplate, DrawnCase
from checkoffs.cases.queries import SAVED, changes_since
from checkoffs.cases.trial import trial
from checkoffs.ledger.actions import action, audit
from checkoffs.people.models import User
from checkoffs.procedures.errors import ConflictError
from checkoffs.procedures.models import Procedure

SEEDS = 2**53  # a seed stays a whole number in every reader of the record


@action
def draw_case(*, by: User, template: CaseTemplate, seed: int | None = None, at: datetime | None = None) -> DrawnCase:
    """Draw a case and freeze it with its answer key. Raises CaseError when it cannot be computed.

    seed: 0 or more; left out, one nobody can guess. at: the moment, left out = now.
    """
    chosen = secrets.randbelow(SEEDS) if seed is None else seed
    drawn = drawing.draw(template.content, chosen)
    case = DrawnCase.objects.create(
        template=template,
        template_revision=template.revision,
        seed=chosen,
        content=drawn.content,
        answer_key=drawn.answer_key,
        calculators=drawn.answer_key["calculators"],
        drawn_at=at or timezone.now(),
    )
    audit(
        by=by,
        act="case.drawn",
        subject=case,
        program=template.procedure.program,
        detail={"template": str(template.pk), "revision": template.revision, "seed": chosen},
    )
    return case


@action
def create_template(*, by: User, procedure: Procedure, content: Mapping[str, Any]) -> CaseTemplate:
    """A new case template in use. Raises TemplateRefusedError when any of its numbers cannot be computed."""
    _computable(content)
    template = CaseTemplate.objects.create(
        procedure=procedure, title=content["title"].strip(), content=dict(content), updated_by=by
    )
    audit(
        by=by,
        act="case.created",
        subject=template,
        program=procedure.program,
        detail={"procedure": str(procedure.pk), "title": template.title},
    )
    return template


@action
def save_template(*, by: User, template: CaseTemplate, content: Mapping[str, Any], revision: int) -> CaseTemplate:
    """Put new content into a template; cases already drawn keep theirs.

    revision: the one the change was made on. Raises ConflictError when a colleague saved in between, and
    TemplateRefusedError when any of its numbers cannot be computed. The same content again changes nothing.
    """
    held = CaseTemplate.objects.select_for_update().get(pk=template.pk)
    if held.revision != revision:
        message = "Someone else changed this case in the meantime."
        raise ConflictError(message, held.revision, changes_since(held, revision))
    _computable(content)
    if held.content == content:
        return held
    changed = sorted(part for part in {*held.content, *content} if held.content.get(part) != content.get(part))
    held.content, held.title = dict(content), content["title"].strip()
    held.revision, held.updated_by = held.revision + 1, by
    held.save()
    detail = {"revision": held.revision, "changed": changed}
    audit(by=by, act=SAVED, subject=held, program=held.procedure.program, detail=detail)
    return held


@action
def retire_template(*, by: User, template: CaseTemplate, retired: bool = True) -> None:
    """Take a template out of use, or put it back (``retired`` False); drawn cases stay either way."""
    held = CaseTemplate.objects.select_for_update().get(pk=template.pk)
    if (held.retired_at is not None) == retired:
        return
    held.retired_at = timezone.now() if retired else None
    held.save(update_fields=["retired_at"])
    act = "case.retired" if retired else "case.brought_back"
    audit(by=by, act=act, subject=held, program=held.procedure.program)


def _computable(content: Mapping[str, Any]) -> None:
    if errors := trial(content).errors:
        raise TemplateRefusedError(list(errors))
