"""The editor: the list, and beside it one step, one section or the head; every change is one save of the draft."""

from __future__ import annotations

import uuid
from dataclasses import dataclass, field
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from checkoffs.people.permissions import Act, access_of, requires
from checkoffs.procedures import actions, editing, queries
from checkoffs.procedures.content import Content, find_step, numbered_steps
from checkoffs.procedures.editing import Removed
from checkoffs.procedures.errors import ConflictError, ContentError, NoDraftError, ProcedureError
from checkoffs.procedures.forms.rule import RuleForm, list_values, rule_lists
from checkoffs.procedures.forms.step import HeadForm, StepForm
from checkoffs.procedures.layout import places_of, sections_of, sentences_of, shape_path, steps_with_findings
from checkoffs.procedures.models import Procedure, ProcedureDraft
from checkoffs.procedures.orders import OrderError, follow
from checkoffs.procedures.views.bringing import fresh_id
from checkoffs.procedures.views.overview import form_page, writable

GONE = {"pair": "order pairs", "gap": "times between steps", "limit": "time limits", "stated": "stated values"}


@dataclass
class Answer:
    """What the page shows beside the list, and with which status."""

    step: str | None = None
    section: str | None = None
    form: Any = None
    conflict: ConflictError | None = None
    refused: list[str] = field(default_factory=list)
    status: int = 200


@requires(Act.WRITE_PROCEDURES)
@form_page
def open_page(request: HttpRequest, procedure: uuid.UUID) -> HttpResponse:
    """Open the draft, new from the newest version where there is none; asks before opening a new one."""
    found = writable(request, procedure)
    if request.method == "POST" or queries.draft_of(found) is not None:
        try:
            actions.open_draft(by=access_of(request).person, procedure=found)
        except ProcedureError as error:
            messages.error(request, error.message)
            return redirect("procedures:procedure", procedure=found.pk)
        return redirect("procedures:edit", procedure=found.pk)
    words = {
        "title": "Open a draft of the next version",
        "text": "It starts from the newest version, which stays as it is and in use until the draft is published.",
        "verb": "Open a draft",
    }
    return render(request, "procedures/confirm.html", {"procedure": found, **words})


@requires(Act.WRITE_PROCEDURES)
@form_page
def edit_page(request: HttpRequest, procedure: uuid.UUID) -> HttpResponse:
    """The editor: read (GET), or do one thing to the draft (POST with ``do`` and ``revision``)."""
    found = writable(request, procedure)
    draft = queries.draft_of(found)
    if draft is None:
        return redirect("procedures:open_draft", procedure=found.pk)
    if request.method != "POST":
        answer = Answer(step=request.GET.get("step"), section=request.GET.get("section"))
        return _page(request, found, draft, answer)
    return _do(request, found, draft)


def _do(request: HttpRequest, found: Procedure, draft: ProcedureDraft) -> HttpResponse:
    content, order = queries.content_of(draft), request.POST.get("do", "")
    word, _, about = order.partition(":")
    if word == "save":
        return _save_step(request, found, draft, about)
    if word == "head":
        form = HeadForm(request.POST)
        if not form.is_valid():
            return _page(request, found, draft, Answer(form=form, status=422))
        return _saved(request, found, editing.change(content, **form.cleaned_data), "Saved.", Answer(form=form))
    try:
        done = follow(content, order, request.POST, fresh_id)
    except OrderError as error:
        step = about if find_step(content, about) else request.POST.get("shown")
        return _page(request, found, draft, Answer(step=step, refused=[str(error)], status=422))
    shown = done.step or request.POST.get("shown") or None
    said = " ".join([done.said, *_gone(done.removed)])
    section = about if word.startswith("section") and not done.step and word != "section_remove" else None
    return _saved(request, found, done.content, said, Answer(step=shown, section=section))


def _save_step(request: HttpRequest, found: Procedure, draft: ProcedureDraft, step: str) -> HttpResponse:
    content = queries.content_of(draft)
    held = find_step(content, step)
    if held is None:
        lost = "This step is no longer in the list: a colleague took it out. What you typed is kept below."
        return _page(request, found, draft, Answer(refused=[lost], form=None, status=409), typed=request.POST)
    form = StepForm(request.POST, content=content, found=held)
    if not form.is_valid():
        return _page(request, found, draft, Answer(step=step, form=form, status=422))
    new = editing.change_step(content, step, **form.values())
    section = form.cleaned_data["section"]
    if section != held.section["id"]:
        new = editing.move_step(new, step, section, 10**3)
    then = request.POST.get("then", "")
    answer = Answer(step=step, form=form)
    if then:
        return _saved(request, found, new, f"Step {held.number} is saved.", answer, then=f"{then}:{step}")
    return _saved(request, found, new, f"Step {held.number} is saved.", answer)


def _saved(
    request: HttpRequest, found: Procedure, content: Content, said: str, answer: Answer, then: str = ""
) -> HttpResponse:
    """Save and lead back to the list; on a conflict or refusal show it with everything that was typed."""
    by = access_of(request).person
    try:
        if then:
            done = follow(content, then, request.POST, fresh_id)
            content, answer.step, said = done.content, done.step, f"{said} {done.said}"
        actions.save_draft(by=by, procedure=found, content=content, revision=revision_of(request))
    except OrderError as error:
        answer.refused, answer.status = [str(error)], 422
    except ConflictError as error:
        answer.conflict, answer.status = error, 409
    except ContentError as error:
        answer.refused = [
            f"{shape_path(p.path, content)} {p.message}; accepted: {p.accepted}" for p in error.problems
        ]
        answer.status = 422
    except NoDraftError as error:
        messages.error(request, error.message)
        return redirect("procedures:procedure", procedure=found.pk)
    else:
        messages.success(request, said)
        query = f"?step={answer.step}" if answer.step else f"?section={answer.section}" if answer.section else ""
        return redirect(reverse("procedures:edit", kwargs={"procedure": found.pk}) + query)
    draft = queries.draft_of(found)
    assert draft is not None  # noqa: S101  save_draft would have raised NoDraftError
    return _page(request, found, draft, answer)


def _page(
    request: HttpRequest, found: Procedure, draft: ProcedureDraft, answer: Answer, typed: Any = None
) -> HttpResponse:
    content = queries.content_of(draft)
    places = places_of(content, queries.findings_of(found, content))
    step = find_step(content, answer.step) if answer.step else None
    sections = sections_of(content)
    section = next((one for one in sections if one.section["id"] == answer.section), None) if not step else None
    form = answer.form
    if form is None:
        form = StepForm(content=content, found=step) if step else HeadForm(initial=dict(content))
    context = {
        "procedure": found,
        "draft": draft,
        "content": content,
        "sections": sections,
        "step": step,
        "section": section,
        "form": form,
        "theirs": _theirs(form, step) if answer.conflict and step else [],
        "conflict": answer.conflict,
        "refused": answer.refused,
        "typed": [(key, value) for key, value in typed.items() if value and key in StepForm.base_fields]
        if typed
        else [],
        "places": places,
        "by_step": steps_with_findings(places),
        "sentences": sentences_of(content),
        "last": sum(1 for _ in numbered_steps(content)),
    }
    return render(request, "procedures/edit.html", context, status=answer.status)


def _theirs(form: Any, step: Any) -> list[tuple[str, str]]:
    """What the draft now holds, where it differs from what was typed: label and value."""
    held = StepForm(content={"title": "", "sections": [step.section], "rule": {}}, found=step).initial
    if not isinstance(form, StepForm):
        return []
    differing = []
    for name, bound in form.fields.items():
        now = bound.prepare_value(held.get(name))
        if name != "section" and str(form[name].value() or "") != str(now or ""):
            differing.append((str(bound.label or name), ", ".join(now) if isinstance(now, list) else str(now or "—")))
    return differing


def revision_of(request: HttpRequest) -> int:
    """The revision the page was made from; 0 when it is not a number, which conflicts with every draft."""
    text = request.POST.get("revision", "")
    return int(text) if text.isdecimal() and len(text) < 9 else 0


def _gone(removed: tuple[Removed, ...]) -> list[str]:
    """What left the rule, in words."""
    found = [f"{GONE.get(part, part)}" for part in dict.fromkeys(one.part for one in removed)]
    return [f"The rule lost what named it: {', '.join(found)}."] if found else []


@requires(Act.WRITE_PROCEDURES)
@form_page
def rule_page(request: HttpRequest, procedure: uuid.UUID) -> HttpResponse:
    """The rule: what fails, score, limits, order, stated values, read back in sentences."""
    found = writable(request, procedure)
    draft = queries.draft_of(found)
    if draft is None:
        return redirect("procedures:open_draft", procedure=found.pk)
    content = queries.content_of(draft)
    data = request.POST if request.method == "POST" else None
    form, lists = RuleForm(data, content=content), rule_lists(content, data)
    answer = Answer()
    if data is not None:
        answer.status = 422
        if form.is_valid() and all(one.is_valid() for one in lists.values()):
            new = editing.change(content, rule={**content["rule"], **form.values(), **list_values(lists, fresh_id)})
            said = _save_rule(request, found, new, answer)
            if said is not None:
                return said
    return _rule_page(request, found, form, lists, answer)


def _save_rule(request: HttpRequest, found: Procedure, new: Content, answer: Answer) -> HttpResponse | None:
    try:
        actions.save_draft(by=access_of(request).person, procedure=found, content=new, revision=revision_of(request))
    except ConflictError as error:
        answer.conflict, answer.status = error, 409
    except ContentError as error:
        answer.refused = [f"{p.path} {p.message}; accepted: {p.accepted}" for p in error.problems]
    except NoDraftError as error:
        messages.error(request, error.message)
        return redirect("procedures:procedure", procedure=found.pk)
    else:
        messages.success(request, "The rule is saved.")
        return redirect("procedures:rule", procedure=found.pk)
    return None


def _rule_page(request: HttpRequest, found: Procedure, form: Any, lists: Any, answer: Answer) -> HttpResponse:
    draft = queries.draft_of(found)
    assert draft is not None  # noqa: S101  looked up a moment ago; publishing in between is caught by save_draft
    content = queries.content_of(draft)
    places = places_of(content, queries.findings_of(found, content))
    context = {
        "procedure": found,
        "draft": draft,
        "form": form,
        "lists": lists,
        "answer": answer,
        "sentences": sentences_of(content),
        "places": [place for place in places if place.page == "rule"],
    }
    return render(request, "procedures/rule.html", context, status=answer.status)
