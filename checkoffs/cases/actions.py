"""Writing in the cases room: a case drawn for one attempt."""

from __future__ import annotations

import secrets
from datetime import datetime

from django.utils import timezone

from checkoffs.cases import drawing
from checkoffs.cases.models import CaseTemplate, DrawnCase
from checkoffs.ledger.actions import action, audit
from checkoffs.people.models import User

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
