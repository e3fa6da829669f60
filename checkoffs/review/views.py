"""Pages of the review room: my procedures, one attempt, receipt, tasks."""

from __future__ import annotations

import uuid

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST, require_safe

from checkoffs.people.permissions import Act, access_of, requires
from checkoffs.review import actions, queries
from checkoffs.review.errors import ReviewError
from checkoffs.review.forms import ReceiptForm, TaskFilter
from checkoffs.review.page import page_of

PAGE = 50


@requires(Act.OWN_RESULTS)
@require_safe
def mine(request: HttpRequest) -> HttpResponse:
    """What is settled, what is open, what to do before the next attempt."""
    actions.catch_up()
    lines = queries.my_procedures(access_of(request))
    order = {"again": 0, "deciding": 1, "running": 2, "open": 3, "settled": 4}
    lines.sort(key=lambda line: (order[line.state], line.procedure.title))
    settled = sum(line.state == "settled" for line in lines)
    waiting = [line for line in lines if line.required]
    return render(request, "review/mine.html", {"lines": lines, "settled": settled, "waiting": waiting})


@requires(Act.OWN_RESULTS, Act.SEE_RESULTS)
@require_safe
def attempt(request: HttpRequest, attempt: uuid.UUID) -> HttpResponse:
    """One attempt: outcome, reasons, what to do, each miss, the numbers, the ribbon."""
    actions.catch_up()
    access = access_of(request)
    found = get_object_or_404(queries.attempts_seen_by(access), pk=attempt)
    context = page_of(found, access.person)
    confirms = access.may(Act.CONFIRM_TASKS, cohort=found.cohort) and not context["own"]
    return render(request, "review/attempt.html", context | {"form": ReceiptForm(), "confirms": confirms})


@requires(Act.OWN_RESULTS)
@require_POST
def acknowledge(request: HttpRequest, code: str) -> HttpResponse:
    """The student has seen this document."""
    access = access_of(request)
    leaf = get_object_or_404(queries.own_leaves(access), code=code)
    form = ReceiptForm(request.POST)
    if form.is_valid():
        actions.acknowledge(by=access.person, leaf=leaf, statement=form.cleaned_data["statement"])
        messages.success(request, f"Kept: you have seen {leaf.code}. It says nothing about agreeing.")
    else:
        messages.error(request, f"Not kept: {form.errors.as_text()}")
    return redirect("review:attempt", attempt=leaf.attempt_id)


@requires(Act.OWN_RESULTS)
@require_POST
def done(request: HttpRequest, task: int) -> HttpResponse:
    """The student marks a task done, or takes it back."""
    access = access_of(request)
    found = get_object_or_404(queries.open_tasks(access.person), pk=task)
    try:
        actions.mark_done(by=access.person, task=found, done=request.POST.get("done", "1") == "1")
    except ReviewError as error:
        messages.error(request, error.message)
    return _back(request, found.attempt_id)


@requires(Act.CONFIRM_TASKS)
@require_safe
def tasks(request: HttpRequest) -> HttpResponse:
    """What students have to do before their next attempt, and what waits for a confirmation."""
    actions.catch_up()
    access = access_of(request)
    form = TaskFilter(request.GET, cohorts=queries.cohorts_confirmed_by(access))
    wanted = form.cleaned_data if form.is_valid() else {}
    rows = queries.filtered_tasks(queries.tasks_to_confirm(access), wanted)
    page = Paginator(rows, PAGE).get_page(request.GET.get("page"))
    return render(request, "review/tasks.html", {"page": page, "form": form, "filtered": any(wanted.values())})


@requires(Act.CONFIRM_TASKS)
@require_POST
def confirm(request: HttpRequest, task: int) -> HttpResponse:
    """Confirm a task, or take the confirmation back."""
    access = access_of(request)
    found = get_object_or_404(queries.tasks_to_confirm(access), pk=task)
    confirmed = request.POST.get("confirmed", "1") == "1"
    try:
        actions.confirm(by=access.person, task=found, confirmed=confirmed)
    except ReviewError as error:
        messages.error(request, error.message)
    else:
        what = "confirmed" if confirmed else "not confirmed any more"
        messages.success(request, f"{found.student}: “{found.text}” is {what}.")
    return _back(request, found.attempt_id)


def _back(request: HttpRequest, attempt_id: uuid.UUID) -> HttpResponse:
    """To the page the form stood on, if it is one of ours; else to the attempt."""
    to = request.POST.get("next", "")
    if url_has_allowed_host_and_scheme(to, allowed_hosts={request.get_host()}, require_https=request.is_secure()):
        return redirect(to)
    return redirect("review:attempt", attempt=attempt_id)
