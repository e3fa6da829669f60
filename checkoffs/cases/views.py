"""Pages of the cases room: writing a case, trying a draw, taking it out of use."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

import calculators
from checkoffs.cases import actions, drawing, forms, queries
from checkoffs.cases.errors import CaseError, TemplateRefusedError
from checkoffs.cases.models import CaseTemplate
from checkoffs.cases.trial import trial
from checkoffs.people.permissions import Act, access_of, requires
from checkoffs.procedures.errors import ConflictError
from checkoffs.procedures.models import Procedure
from checkoffs.procedures.queries import newest_content, procedures_seen

form_page = require_http_methods(["GET", "HEAD", "POST"])
MOST_SEEDS = 10**9
SHOWN_SLIPS = 8


def _procedure(request: HttpRequest, procedure: uuid.UUID) -> Procedure:
    access = access_of(request)
    found = get_object_or_404(procedures_seen(access), pk=procedure)
    if not access.may(Act.WRITE_CASES, program=found.program):
        raise PermissionDenied("Cases of this program are written by its instructors.")
    return found


def _template(request: HttpRequest, template: uuid.UUID) -> CaseTemplate:
    return get_object_or_404(queries.all_templates(access_of(request)), pk=template)


@requires(Act.WRITE_CASES)
@form_page
def new_case(request: HttpRequest, procedure: uuid.UUID) -> HttpResponse:
    """Write a case for a procedure; its checks begin as what the rule asks for."""
    found, by = _procedure(request, procedure), access_of(request).person

    def keep(document: dict[str, Any]) -> CaseTemplate:
        return actions.create_template(by=by, procedure=found, content=document)

    return _write(request, found, None, _blank(found), keep)


@requires(Act.WRITE_CASES)
@form_page
def edit_case(request: HttpRequest, template: uuid.UUID) -> HttpResponse:
    """Change a case; cases already drawn keep theirs."""
    found, by = _template(request, template), access_of(request).person

    def keep(document: dict[str, Any]) -> CaseTemplate:
        return actions.save_template(by=by, template=found, content=document, revision=_count(request, "revision"))

    return _write(request, found.procedure, found, found.content, keep)


def _write(
    request: HttpRequest,
    procedure: Procedure,
    template: CaseTemplate | None,
    document: dict[str, Any],
    keep: Callable[[dict[str, Any]], CaseTemplate],
) -> HttpResponse:
    data = request.POST if request.method == "POST" else None
    form, checks = forms.CaseForm(data, document=document), forms.checks_of(document, data)
    context: dict[str, Any] = {"form": form, "checks": checks, "procedure": procedure, "template": template}
    status, typed = 200, document
    if data is not None:
        status = 422
        if form.is_valid() and checks.is_valid():
            typed = forms.document_of(form, checks)
            if data.get("do") == "try":
                status = 200
            elif (done := _kept(request, keep, typed, context)) is not None:
                return done
            else:
                status = 409 if context.get("conflict") else 422
    seed = _count(request, "seed") or 1
    draw = _draw(typed, seed) if form.is_bound is False or form.is_valid() else {"seed": seed}
    return render(request, "cases/case.html", context | {"draw": draw}, status=status)


def _kept(
    request: HttpRequest,
    keep: Callable[[dict[str, Any]], CaseTemplate],
    document: dict[str, Any],
    context: dict[str, Any],
) -> HttpResponse | None:
    try:
        kept = keep(document)
    except TemplateRefusedError as error:
        forms.add_errors(context["form"], context["checks"], error.errors)
        return None
    except ConflictError as error:
        context["conflict"] = error
        context["template"].refresh_from_db()
        return None
    found = trial(document)
    words = f"{found.tried} of {found.combinations} combinations of numbers were computed."
    messages.success(request, f"The case is saved. {words}")
    return redirect("cases:edit", template=kept.pk)


@requires(Act.WRITE_CASES)
@require_POST
def try_draw(request: HttpRequest, procedure: uuid.UUID) -> HttpResponse:
    """One draw from what is typed, nothing kept: the order, the answers, the working, the likely slips."""
    _procedure(request, procedure)
    form, checks = forms.CaseForm(request.POST, document={}), forms.checks_of({}, request.POST)
    seed = _count(request, "seed") or 1
    if not form.is_valid() or not checks.is_valid():
        return render(request, "cases/_draw.html", {"draw": {"seed": seed, "incomplete": True}})
    return render(request, "cases/_draw.html", {"draw": _draw(forms.document_of(form, checks), seed)})


def _draw(document: dict[str, Any], seed: int) -> dict[str, Any]:
    if not document.get("fields") or not document.get("checks"):
        return {"seed": seed, "incomplete": True}
    try:
        drawn = drawing.draw(document, seed)
    except CaseError as error:
        return {"seed": seed, "error": error}
    shown = [
        {
            **key,
            "slips": key["slips"][:SHOWN_SLIPS],
            "cautions": [said for said in key["cautions"] if said != calculators.CAUTION],
        }
        for key in drawn.answer_key["checks"]
    ]
    general = calculators.CAUTION  # once for all values
    return {"seed": seed, "content": drawn.content, "checks": shown, "clashes": drawn.clashes, "caution": general}


@requires(Act.WRITE_CASES)
@form_page
def retire_case(request: HttpRequest, template: uuid.UUID) -> HttpResponse:
    """Take a case out of use, or put it back; asks first."""
    found = _template(request, template)
    if request.method == "POST":
        actions.retire_template(by=access_of(request).person, template=found, retired=found.retired_at is None)
        return redirect("procedures:procedure", procedure=found.procedure_id)
    return render(request, "cases/retire.html", {"template": found})


def _blank(procedure: Procedure) -> dict[str, Any]:
    content = newest_content(procedure)
    stated = content["rule"].get("stated", []) if content else []
    finds = {code for code, _ in forms.FINDS}
    checks = [
        {"id": one["id"], "label": one["label"], "find": one["id"] if one["id"] in finds else "rate"}
        for one in stated
    ]
    return {"title": f"{procedure.title[:150]} (invented case)", "fields": {}, "checks": checks}


def _count(request: HttpRequest, name: str) -> int:
    text = request.POST.get(name, "")
    return int(text) % MOST_SEEDS if text.isdecimal() and len(text) < 12 else 0
