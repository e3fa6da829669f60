"""Pages around attempts: opening, no-show, second sheet, handing over, moving to the right student."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.forms import Form
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from checkoffs.attempts import actions, forms, opening, queries
from checkoffs.attempts.errors import AttemptError
from checkoffs.attempts.models import Attempt, SheetKind
from checkoffs.attempts.views_sync import own_sheet
from checkoffs.cases.queries import preview
from checkoffs.people.permissions import Access, Act, access_of, requires

form_page = require_http_methods(["GET", "HEAD", "POST"])
CHOICE = ("student", "version", "purpose")


@requires(Act.SCORE, Act.SCORE_PRACTICE)
@form_page
def open_page(request: HttpRequest) -> HttpResponse:
    """Choose student and procedure (GET), see what will be opened, open it (POST)."""
    access = access_of(request)
    asked = request.POST if request.method == "POST" else request.GET
    choose = forms.ChooseForm(_with_purpose(asked, access) if "student" in asked else None, access=access)
    context: dict[str, Any] = {"choose": choose}
    if choose.is_bound and choose.is_valid():
        form = forms.OpenForm(
            request.POST if request.method == "POST" else None, initial=_chosen(choose), access=access
        )
        context |= {"form": form} | _preview(access, choose.cleaned_data, form)
        if request.method == "POST" and form.is_valid():
            try:
                attempt = actions.open_attempt(by=access.person, **form.cleaned_data)
                return redirect("attempts:sheet", sheet=attempt.sheets.get().pk)
            except AttemptError as error:
                if error.code == "already_open":
                    return redirect("attempts:sheet", sheet=error.more["sheet"])
                _say(form, error)
    return render(request, "attempts/open.html", context)


@requires(Act.SCORE)
@form_page
def no_show(request: HttpRequest) -> HttpResponse:
    """Close an attempt of a student who did not come."""
    access = access_of(request)
    initial = {name: request.GET[name] for name in CHOICE if name in request.GET}
    form = forms.NoShowForm(request.POST or None, access=access, initial=initial)

    def close(chosen: dict[str, Any]) -> HttpResponse:
        attempt = actions.close_no_show(by=access.person, **chosen)
        messages.success(request, f"{attempt.student} is noted as not having come to attempt {attempt.number}.")
        return redirect("site:home")

    words = {
        "title": "The student did not come",
        "text": "This closes an attempt without a sheet. It counts as the rules of your program say.",
        "verb": "Note the no-show",
    }
    return _ask(request, form, close, words)


@requires(Act.SCORE, Act.SCORE_PRACTICE)
@form_page
def second_sheet(request: HttpRequest, attempt: uuid.UUID) -> HttpResponse:
    """Score an attempt as a further evaluator, blind."""
    access = access_of(request)
    found = get_object_or_404(queries.attempts_to_score(access), pk=attempt)
    mine = found.sheets.filter(evaluator=access.person).exclude(kind=SheetKind.MODERATION).first()
    if mine is not None:
        return redirect("attempts:sheet", sheet=mine.pk)

    def open_it(_: dict[str, Any]) -> HttpResponse:
        return redirect("attempts:sheet", sheet=actions.open_second_sheet(by=access.person, attempt=found).pk)

    words = {
        "title": f"A second sheet for {found.student}",
        "text": f"{found.version.procedure}, attempt {found.number}. You see nothing of the other sheet, and it "
        "nothing of yours, until both are signed. The attempt then waits for both.",
        "verb": "Open a second sheet",
    }
    return _ask(request, Form(request.POST if request.method == "POST" else None), open_it, words)


@requires(Act.SCORE, Act.SCORE_PRACTICE)
@form_page
def hand_over(request: HttpRequest, sheet: uuid.UUID) -> HttpResponse:
    """Give a sheet to another evaluator: one's own, or as an instructor one of the cohort."""
    found = own_sheet(request, sheet, instead=Act.OVERRIDE_POLICY)
    form = forms.HandOverForm(request.POST or None, sheet=found)

    def give(chosen: dict[str, Any]) -> HttpResponse:
        actions.hand_over(by=access_of(request).person, sheet=found, **chosen)
        messages.success(request, f"{chosen['to']} goes on with the sheet of {found.attempt.student}.")
        return redirect("site:home")

    words = {
        "title": f"Hand over the sheet of {found.attempt.student}",
        "text": "Send everything from the tablet first. Each mark keeps its author; the other goes on from there.",
        "verb": "Hand over",
    }
    return _ask(request, form, give, words)


@requires(Act.SCORE, Act.SCORE_PRACTICE)
@form_page
def move(request: HttpRequest, attempt: uuid.UUID) -> HttpResponse:
    """Put an unsealed attempt under the right student."""
    access = access_of(request)
    found = _movable(access, attempt)
    form = forms.MoveForm(request.POST or None, attempt=found)

    def put_right(chosen: dict[str, Any]) -> HttpResponse:
        moved = actions.move_attempt(by=access.person, attempt=found, **chosen)
        messages.success(request, f"The attempt now stands under {moved.student}, as attempt {moved.number}.")
        return redirect("site:home")

    words = {
        "title": f"Not {found.student}?",
        "text": f"{found.version.procedure}, attempt {found.number}. Marks and times stay; name, number and extra "
        "time become the right student's. Who moved it, and why, is kept.",
        "verb": "Move the attempt",
    }
    return _ask(request, form, put_right, words)


def _ask(
    request: HttpRequest,
    form: Form,
    act: Callable[[dict[str, Any]], HttpResponse],
    words: dict[str, str],
) -> HttpResponse:
    """One page, one form, one action: what the action refuses stands at the field it is about."""
    if request.method == "POST" and form.is_valid():
        try:
            return act(form.cleaned_data)
        except AttemptError as error:
            _say(form, error)
    return render(request, "attempts/ask.html", {"form": form, **words})


def _say(form: Form, error: AttemptError) -> None:
    """Put a refusal at its field, or above the form when the field is not shown."""
    shown = error.field in form.fields and not form[error.field].is_hidden
    form.add_error(error.field if shown else None, error.message)


def _movable(access: Access, pk: uuid.UUID) -> Attempt:
    """404 outside one's cohorts and for fellow students; 403 for who neither scored it nor is its instructor."""
    found = get_object_or_404(queries.attempts_to_score(access), pk=pk)
    if found.sheets.filter(evaluator=access.person, kind=SheetKind.PRIMARY).exists():
        return found
    if not access.may(Act.SCORE, cohort=found.cohort):
        raise Http404
    if not access.may(Act.OVERRIDE_POLICY, cohort=found.cohort):
        raise PermissionDenied("Only the evaluator or an instructor of the cohort moves an attempt.")
    return found


def _with_purpose(asked: Any, access: Access) -> dict[str, str]:
    """A link may leave the purpose out."""
    usual = "summative" if access.may(Act.SCORE) else "practice"
    return {"purpose": usual} | {name: asked[name] for name in CHOICE if asked.get(name)}


def _chosen(choose: forms.ChooseForm) -> dict[str, Any]:
    return {
        "student": choose.cleaned_data["student"].opaque,
        "version": choose.cleaned_data["version"].pk,
        "purpose": choose.cleaned_data["purpose"],
    }


def _preview(access: Access, chosen: dict[str, Any], form: forms.OpenForm) -> dict[str, Any]:
    """What will be opened: whom, how long, what stands in the way, and a case as it might be drawn."""
    student, version, cohort = chosen["student"], chosen["version"], chosen["cohort"]
    day = opening.local_day(cohort, timezone.now())
    blocked = opening.obstacle(student, version.procedure, chosen["purpose"], day)
    may_override = access.may(Act.OVERRIDE_POLICY, cohort=cohort)
    suitable = queries.suitable_templates(version)
    asked = [check.label for check in queries.rule_of(version).stated]
    form.offer(version, suitable, asked=bool(asked), override=bool(blocked) and may_override)
    return {
        "student": student,
        "version": version,
        "cohort": cohort,
        "number": opening.next_number(student, version.procedure),
        "factor": opening.enrolment(student, cohort, day).time_factor,
        "blocked": blocked,
        "may_override": may_override,
        "asked": asked,
        "no_case": bool(asked) and not suitable,
        "cases": [{"template": template, **preview(template)} for template in suitable],
    }
