"""Pages of people, their roles, and cohorts."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.core.paginator import Paginator
from django.forms import Form
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from checkoffs.people import actions, forms, queries
from checkoffs.people.cells import csv_text
from checkoffs.people.links import make_link
from checkoffs.people.models import Membership, Program, User
from checkoffs.people.permissions import Act, access_of, requires

PAGE = 50
form_page = require_http_methods(["GET", "HEAD", "POST"])


def _filtered(request: HttpRequest) -> tuple[forms.PeopleFilter, Any]:
    filters = forms.PeopleFilter(request.GET or None, access=access_of(request))
    data = filters.cleaned_data if filters.is_bound and filters.is_valid() else {}
    people = queries.people_list(
        access_of(request),
        text=data.get("text", ""),
        role=data.get("role", ""),
        cohort=data.get("cohort"),
        state=data.get("state") or "active",
        sort=data.get("sort", ""),
    )
    return filters, people


@requires(Act.MANAGE_PEOPLE, Act.ENROL)
@require_safe
def people_list(request: HttpRequest) -> HttpResponse:
    """Everyone of the program, filtered, sorted, in pages; the state is in the address."""
    filters, people = _filtered(request)
    page = Paginator(people, PAGE).get_page(request.GET.get("page"))
    asked = any(value for key, value in request.GET.items() if key not in {"sort", "page"})
    context = {"filters": filters, "page": page, "heads": _heads(request), "filtered": asked}
    return render(request, "people/list.html", context)


def _heads(request: HttpRequest) -> list[dict[str, str]]:
    now = request.GET.get("sort") or "name"
    heads = []
    for key, label in (("name", "Name"), ("number", "Number"), ("joined", "Entered")):
        query = request.GET.copy()
        query.pop("page", None)
        query["sort"] = f"-{key}" if now == key else key
        order = {key: "ascending", f"-{key}": "descending"}.get(now, "")
        heads.append({"label": label, "query": query.urlencode(), "order": order})
    return heads


@requires(Act.MANAGE_PEOPLE, Act.ENROL)
@require_safe
def people_csv(request: HttpRequest) -> HttpResponse:
    """The list as it is filtered, for a spreadsheet; its columns are those the roster reads."""
    _, people = _filtered(request)
    head = ["full_name", "preferred_name", "email", "username", "number", "role", "cohort", "starts", "ends"]
    rows = (
        (p.full_name, p.preferred_name, p.email, p.username, p.number, m.role, m.cohort or "", m.starts, m.ends)
        for p in people
        for m in p.seen_memberships
    )
    response = HttpResponse(csv_text(head, rows), content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = 'attachment; filename="people.csv"'
    return response


def _person(request: HttpRequest, person: uuid.UUID) -> User:
    return get_object_or_404(queries.people_seen(access_of(request)), opaque=person)


def _program(request: HttpRequest, person: User) -> Program:
    program = queries.program_seen(access_of(request), person)
    if program is None:
        raise Http404  # a colleague took the last role away in between
    return program


def _account(request: HttpRequest, person: uuid.UUID) -> User:
    found = _person(request, person)
    if not queries.may_manage_account(access_of(request), found):
        raise PermissionDenied("This account also holds roles that you do not manage.")
    return found


@requires(Act.MANAGE_PEOPLE, Act.ENROL)
@require_safe
def person_page(request: HttpRequest, person: uuid.UUID) -> HttpResponse:
    """One person: details, roles with dates, extra time, the account."""
    access, found = access_of(request), _person(request, person)
    held = list(queries.memberships_seen(access).filter(person=found))
    lines = [
        {
            "held": m,
            "now": m.starts <= (today := queries.today_in(m.program)) and (m.ends is None or m.ends >= today),
            "may_end": queries.may_change_membership(access, m) and (m.ends is None or m.ends >= today),
            "may_extra": queries.may_set_extra_time(access, m),
        }
        for m in held
    ]
    context = {
        "person": found,
        "lines": lines,
        "manages": queries.may_manage_account(access, found),
        "link": queries.open_link(found),
        "itself": found.pk == request.user.pk,
    }
    return render(request, "people/person.html", context)


@requires(Act.MANAGE_PEOPLE, Act.ENROL)
@form_page
def add_person(request: HttpRequest) -> HttpResponse:
    """Enter one person with the first role."""
    form = forms.AddPersonForm(request.POST or None, access=access_of(request))
    if form.is_valid():
        try:
            person = actions.add_person(by=access_of(request).person, **form.details(), **form.membership())
        except actions.PeopleError as error:
            form.add_error(_field(form, error), error.message)
        else:
            messages.success(request, f"{person.full_name} is entered. Make a one-time link for the first sign-in.")
            return redirect("people:person", person=person.opaque)
    return render(request, "people/add.html", {"form": form})


def _field(form: Form, error: actions.PeopleError) -> str | None:
    name = "place" if error.field == "cohort" and "place" in form.fields else error.field
    return name if name in form.fields else None


@requires(Act.MANAGE_PEOPLE, Act.ENROL)
@form_page
def edit_person(request: HttpRequest, person: uuid.UUID) -> HttpResponse:
    """Change someone's details."""
    found = _account(request, person)
    initial = {name: getattr(found, name) for name in actions.DETAILS}
    form = forms.EditPersonForm(request.POST or None, initial=initial)
    if form.is_valid():
        try:
            actions.change_person(
                by=access_of(request).person, person=found, program=_program(request, found), **form.cleaned_data
            )
        except actions.PeopleError as error:
            form.add_error(_field(form, error), error.message)
        else:
            return redirect("people:person", person=found.opaque)
    return render(request, "people/edit.html", {"form": form, "person": found})


@requires(Act.MANAGE_PEOPLE, Act.ENROL)
@form_page
def add_membership(request: HttpRequest, person: uuid.UUID) -> HttpResponse:
    """Give someone a further role."""
    found = _person(request, person)
    form = forms.MembershipForm(request.POST or None, access=access_of(request))
    if form.is_valid():
        try:
            actions.add_membership(by=access_of(request).person, person=found, **form.membership())
        except actions.PeopleError as error:
            form.add_error(_field(form, error), error.message)
        else:
            messages.success(request, f"{found.full_name} holds the role.")
            return redirect("people:person", person=found.opaque)
    return render(request, "people/membership.html", {"form": form, "person": found})


def _membership(request: HttpRequest, membership: int) -> Membership:
    seen = queries.memberships_seen(access_of(request)).select_related("person", "program", "cohort")
    return get_object_or_404(seen, pk=membership)


@requires(Act.MANAGE_PEOPLE, Act.ENROL)
@form_page
def end_membership(request: HttpRequest, membership: int) -> HttpResponse:
    """Set the last day of a role; nothing is deleted."""
    held = _membership(request, membership)
    if not queries.may_change_membership(access_of(request), held):
        raise PermissionDenied("This role is given and ended by an administrator of the program.")
    form = forms.EndMembershipForm(request.POST or None)
    if form.is_valid():
        try:
            actions.end_membership(by=access_of(request).person, membership=held, ends=form.cleaned_data["ends"])
        except actions.PeopleError as error:
            form.add_error(_field(form, error), error.message)
        else:
            return redirect("people:person", person=held.person.opaque)
    return render(request, "people/end_membership.html", {"form": form, "held": held})


@requires(Act.SET_EXTRA_TIME)
@form_page
def extra_time(request: HttpRequest, membership: int) -> HttpResponse:
    """Set the effect of an accommodation on an enrolment."""
    held = _membership(request, membership)
    if not queries.may_set_extra_time(access_of(request), held):
        raise PermissionDenied("Extra time is set on an enrolment, by the coordinator of its cohort.")
    form = forms.ExtraTimeForm(request.POST or None, initial={"time_factor": held.time_factor})
    if form.is_valid():
        actions.set_extra_time(by=access_of(request).person, membership=held, factor=form.cleaned_data["time_factor"])
        return redirect("people:person", person=held.person.opaque)
    return render(request, "people/extra_time.html", {"form": form, "held": held})


@requires(Act.MANAGE_PEOPLE, Act.ENROL)
@form_page
def set_active(request: HttpRequest, person: uuid.UUID) -> HttpResponse:
    """Close an account or open it again; asks first."""
    found = _account(request, person)
    if request.method == "POST":
        try:
            actions.set_active(
                by=access_of(request).person,
                person=found,
                program=_program(request, found),
                active=not found.is_active,
            )
        except actions.PeopleError as error:
            messages.error(request, error.message)
        return redirect("people:person", person=found.opaque)
    return render(request, "people/set_active.html", {"person": found})


@requires(Act.MANAGE_PEOPLE, Act.ENROL)
@form_page
def new_link(request: HttpRequest, person: uuid.UUID) -> HttpResponse:
    """Make a one-time link and show it this once; asks first, because links made before stop working."""
    found = _account(request, person)
    link = None
    if request.method == "POST" and found.is_active:
        link = make_link(by=access_of(request).person, person=found, program=_program(request, found))
    return render(request, "people/new_link.html", {"person": found, "link": link})
