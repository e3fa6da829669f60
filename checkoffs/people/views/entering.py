"""How people come in: rosters, sheets of one-time links, and the first sign-in itself."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth import login
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from checkoffs.people import actions, forms, queries, rate
from checkoffs.people.links import LinkError, find_link, make_links, use_link
from checkoffs.people.models import Cohort
from checkoffs.people.permissions import Access, Act, access_of, requires
from checkoffs.people.roster import HEADERS, RosterError, read
from checkoffs.people.roster_plan import RosterPlan, make_plan
from checkoffs.people.views.people import form_page

HELD = "first_sign_in"
BACKEND = "allauth.account.auth_backends.AuthenticationBackend"


@requires(Act.MANAGE_PEOPLE, Act.ENROL)
@form_page
def import_roster(request: HttpRequest) -> HttpResponse:
    """Read a roster, show what it would do, and do it when the same preview comes back confirmed."""
    form = forms.RosterForm(request.POST or None, request.FILES or None, access=access_of(request))
    if not form.is_valid():
        return render(request, "people/import.html", {"form": form, "headers": HEADERS})
    try:
        sheet = read(form.cleaned_data["text"])
    except RosterError as error:
        form.add_error(None, error.message)
        return render(request, "people/import.html", {"form": form, "headers": HEADERS})
    plan = make_plan(access_of(request), form.cleaned_data["program"], sheet)
    seen = request.POST.get("preview", "")
    if seen == plan.digest and not plan.errors:
        return _commit(request, plan)
    context = {"plan": plan, "sheet": sheet, "text": form.cleaned_data["text"], "stale": seen and seen != plan.digest}
    return render(request, "people/import_preview.html", context | {"form": form})


def _commit(request: HttpRequest, plan: RosterPlan) -> HttpResponse:
    try:
        added = actions.commit_roster(by=access_of(request).person, plan=plan)
    except actions.PeopleError as error:
        messages.error(request, f"Nothing was saved. {error.message}")
        return redirect("people:import")
    counts = plan.counts
    messages.success(
        request, f"{counts['add']} people added, {counts['role']} further roles, {counts['change']} changed."
    )
    return redirect("people:links" if added else "people:list")


@requires(Act.MANAGE_PEOPLE, Act.ENROL)
@form_page
def links_sheet(request: HttpRequest) -> HttpResponse:
    """Choose people who have never signed in; make their links and show them once, as a sheet to print and cut."""
    access = access_of(request)
    cohort = _chosen_cohort(request, access)
    waiting = [p for p in queries.waiting_for_links(access, cohort=cohort) if queries.may_manage_account(access, p)]
    form = forms.LinksForm(request.POST or None, access=access)
    if form.is_valid():
        chosen = [p for p in form.cleaned_data["people"] if queries.may_manage_account(access, p)]
        links = make_links(
            by=access_of(request).person, people=[(p, queries.program_seen(access, p)) for p in chosen]
        )
        return render(request, "people/links_sheet.html", {"links": links, "cohort": cohort})
    cohorts = access.cohorts(Act.ENROL)
    context = {"form": form, "waiting": waiting, "cohort": cohort, "cohorts": cohorts}
    return render(request, "people/links.html", context)


def _chosen_cohort(request: HttpRequest, access: Access) -> Cohort | None:
    key = request.GET.get("cohort", "")
    return access.cohorts(Act.ENROL).filter(pk=key).first() if key.isdigit() else None


@login_not_required
@never_cache
@require_safe
def first_sign_in(request: HttpRequest, token: str) -> HttpResponse:
    """Take the token out of the address before any page is shown, so that no later request can carry it on."""
    request.session[HELD] = token
    response = redirect("people:first_password")
    response["Referrer-Policy"] = "no-referrer"
    return response


@login_not_required
@never_cache
@form_page
def first_password(request: HttpRequest) -> HttpResponse:
    """Choose a password with the token just shown; the link is used up by the form, not by looking."""
    if rate.too_many(request):
        return _closed(request, "too_many", 429)
    try:
        link = find_link(request.session.get(HELD, ""))
        form = forms.FirstPasswordForm(link.person, request.POST or None)
        if not form.is_valid():
            return render(request, "people/first_password.html", {"form": form, "person": link.person})
        person = use_link(token=request.session[HELD], password=form.cleaned_data["new_password1"])
    except LinkError as error:
        if HELD in request.session:
            rate.count_wrong(request)
        return _closed(request, error.code, 404 if error.code == "unknown" else 410)
    del request.session[HELD]
    login(request, person, backend=BACKEND)
    return redirect("site:home")


def _closed(request: HttpRequest, code: str, status: int) -> HttpResponse:
    return render(request, "people/link_closed.html", {"code": code}, status=status)
