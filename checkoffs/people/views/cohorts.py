"""Pages of cohorts and of the audit trail."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.core.paginator import Paginator
from django.db.models import Count, Q
from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from checkoffs.ledger.models import AuditEntry
from checkoffs.people import actions, forms, queries
from checkoffs.people.models import Cohort, User
from checkoffs.people.permissions import Act, access_of, requires
from checkoffs.people.trail import explain
from checkoffs.people.views.people import form_page

PAGE = 50


@requires(Act.MANAGE_PEOPLE, Act.ENROL)
@require_safe
def cohort_list(request: HttpRequest) -> HttpResponse:
    """Cohorts with how many students are enrolled today."""
    now = queries.in_force(timezone.localdate(), prefix="memberships__")
    cohorts = (
        access_of(request)
        .cohorts(Act.ENROL)
        .annotate(students=Count("memberships", filter=now & Q(memberships__role="student"), distinct=True))
    )
    page = Paginator(cohorts.order_by("-starts", "name"), PAGE).get_page(request.GET.get("page"))
    may_add = access_of(request).may(Act.MANAGE_PEOPLE)
    return render(request, "people/cohorts.html", {"page": page, "may_add": may_add})


@requires(Act.MANAGE_PEOPLE)
@form_page
def add_cohort(request: HttpRequest) -> HttpResponse:
    """Add a cohort to a program."""
    form = forms.CohortForm(request.POST or None, programs=access_of(request).programs(Act.MANAGE_PEOPLE))
    if form.is_valid() and _saved(form, lambda data: actions.add_cohort(by=access_of(request).person, **data)):
        return redirect("people:cohorts")
    return render(request, "people/cohort_form.html", {"form": form})


@requires(Act.MANAGE_PEOPLE)
@form_page
def edit_cohort(request: HttpRequest, cohort: int) -> HttpResponse:
    """Change a cohort's name or dates."""
    access = access_of(request)
    found = get_object_or_404(Cohort, pk=cohort, program__in=access.programs(Act.MANAGE_PEOPLE))
    initial = {"program": found.program, "name": found.name, "starts": found.starts, "ends": found.ends}
    programs = access.programs(Act.MANAGE_PEOPLE).filter(pk=found.program_id)
    form = forms.CohortForm(request.POST or None, initial=initial, programs=programs)

    def change(data: dict[str, Any]) -> Cohort:
        data.pop("program")
        return actions.change_cohort(by=access_of(request).person, cohort=found, **data)

    if form.is_valid() and _saved(form, change):
        return redirect("people:cohorts")
    return render(request, "people/cohort_form.html", {"form": form, "cohort": found})


def _saved(form: Form, save: Callable[[dict[str, Any]], Cohort]) -> bool:
    try:
        save(dict(form.cleaned_data))
    except actions.PeopleError as error:
        form.add_error(error.field or None, error.message)
        return False
    return True


@requires(Act.SEE_AUDIT)
@require_safe
def audit_trail(request: HttpRequest) -> HttpResponse:
    """Who did what, when: the program's trail, newest first."""
    access = access_of(request)
    programs = access.programs(Act.SEE_AUDIT)
    acts = AuditEntry.objects.filter(program__in=programs).order_by("act").values_list("act", flat=True).distinct()
    filters = forms.AuditFilter(request.GET or None, acts=list(acts))
    data = filters.cleaned_data if filters.is_bound and filters.is_valid() else {}
    name = data.get("person", "").strip()
    person = User.objects.filter(username__iexact=name).first() if name else None
    entries = queries.audit_trail(
        access,
        act=data.get("act", ""),
        person=person,
        since=data.get("since"),
        until=data.get("until"),
        zone=timezone.get_current_timezone_name(),
    )
    if name and person is None:
        entries = entries.none()
    page = Paginator(entries, PAGE).get_page(request.GET.get("page"))
    context = {"filters": filters, "page": page, "lines": explain(page.object_list), "filtered": bool(request.GET)}
    return render(request, "people/audit.html", context)
