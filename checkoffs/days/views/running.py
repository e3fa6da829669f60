"""Pages people look at on the day: Today, the list of days, the board, check-in, opening a slot."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.cache import cache
from django.core.exceptions import PermissionDenied
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.template.loader import render_to_string
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from checkoffs.attempts.errors import AttemptError
from checkoffs.attempts.queries import newest_versions, unfinished_sheets_of
from checkoffs.days import actions, forms, queries
from checkoffs.days.board import slot_state
from checkoffs.days.errors import DaysError
from checkoffs.days.models import Day, Slot
from checkoffs.people.cells import csv_text
from checkoffs.people.permissions import Access, Act, access_of, requires

PAGE = 25
KEEP_S = 1  # a wall of tablets asks for the same board at the same moment
SHEET_PAGE = "attempts:sheet"
form_page = require_http_methods(["GET", "HEAD", "POST"])


@requires(Act.SCORE)
@require_safe
def today(request: HttpRequest) -> HttpResponse:
    """Who is next, where, with which procedure; what is unfinished; and a start for what nobody planned."""
    access, now = access_of(request), timezone.now()
    slots = list(queries.todays_slots(access, on=timezone.localdate(), zone=timezone.get_current_timezone_name()))
    lines = [{"slot": slot, "state": slot_state(queries.facts_of(slot), now)} for slot in slots]
    ahead = [line for line in lines if line["state"].code in {"booked", "late", "here", "waiting"}]  # type: ignore[attr-defined]
    context = {
        "next": ahead[0] if ahead else None,
        "lines": lines,
        "sheets": list(unfinished_sheets_of(access.person)),
        "students": queries.students_to_score(access),
        "versions": newest_versions(access.programs(Act.SCORE)),
        "now": now,
    }
    return render(request, "days/today.html", context)


@requires(Act.SEE_BOARD)
@require_safe
def day_list(request: HttpRequest) -> HttpResponse:
    """Days ahead, or past ones, with how many stations and students."""
    access = access_of(request)
    filters = forms.DayFilter(request.GET or None)
    data = filters.cleaned_data if filters.is_bound and filters.is_valid() else {}
    when, text = data.get("when") or "ahead", data.get("text", "").strip()
    page = Paginator(queries.day_list(access, when=when, text=text), PAGE).get_page(request.GET.get("page"))
    context = {"filters": filters, "page": page, "today": timezone.localdate(), "plans": access.may(Act.SCHEDULE)}
    return render(request, "days/list.html", context | {"when": when, "filtered": bool(text) or when != "ahead"})


def _day(request: HttpRequest, day: int) -> Day:
    return get_object_or_404(queries.days_seen(access_of(request)), pk=day)


def _shown(access: Access, day: Day) -> dict[str, Any]:
    """What of the board this person sees and does; technicians and administrators see no names."""
    cohort = day.cohort
    return {
        "plans": access.may(Act.SCHEDULE, cohort=cohort),
        "checks_in": access.may(Act.CHECK_IN, cohort=cohort),
        "named": any(access.may(act, cohort=cohort) for act in (Act.SCHEDULE, Act.SCORE, Act.SEE_RESULTS)),
        "scores": access.may(Act.SCORE, cohort=cohort),
        "results": access.may(Act.SEE_RESULTS, cohort=cohort),
    }


def _board(day: Day, shown: dict[str, Any]) -> str:
    """The board as a fragment, the same for everyone who sees the same; kept for a second."""
    key = f"day-board:{day.pk}:{''.join(str(int(v)) for v in shown.values())}:{timezone.get_current_timezone_name()}"
    found = cache.get(key)
    if found is None:
        now = timezone.now()
        board = queries.day_board(day, now, results=shown["results"])
        context = {"day": day, "board": board, "counts": queries.day_counts(board), "now": now}
        found = render_to_string("days/_board.html", context | shown)
        cache.set(key, found, KEEP_S)
    return str(found)


@requires(Act.SEE_BOARD)
@require_safe
def day_page(request: HttpRequest, day: int) -> HttpResponse:
    """One day: is it on time, who is missing, which station is free."""
    found = _day(request, day)
    shown = _shown(access_of(request), found)
    return render(request, "days/day.html", {"day": found, "board": _board(found, shown)} | shown)


@requires(Act.SEE_BOARD)
@require_safe
def board(request: HttpRequest, day: int) -> HttpResponse:
    """The board alone, for the page that renews itself."""
    found = _day(request, day)
    return HttpResponse(_board(found, _shown(access_of(request), found)))


@requires(Act.SCHEDULE)
@require_safe
def day_csv(request: HttpRequest, day: int) -> HttpResponse:
    """The day's slots for a spreadsheet."""
    found = get_object_or_404(queries.days_planned_by(access_of(request)), pk=day)
    head = ["station", "procedure", "evaluator", "starts", "minutes", "student", "number", "purpose", "state"]
    rows = (
        (
            station.station.name,
            station.station.procedure,
            station.station.evaluator or "",
            line.slot.starts_at.astimezone(queries.zone_of(found)).isoformat(timespec="minutes"),
            line.slot.minutes,
            line.slot.student.full_name,
            line.slot.student.number,
            line.slot.purpose,
            line.state.word,
        )
        for station in queries.day_board(found, timezone.now())
        for line in station.slots
    )
    response = HttpResponse(csv_text(head, rows), content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="day-{found.date.isoformat()}.csv"'
    return response


def _slot(request: HttpRequest, slot: int, act: Act) -> Slot:
    access = access_of(request)
    slots = Slot.objects.filter(station__day__cohort__in=access.cohorts(Act.SEE_BOARD)).select_related(
        "student", "attempt", "station__procedure", "station__day__cohort__program"
    )
    found = get_object_or_404(slots, pk=slot)
    if not access.may(act, cohort=found.station.day.cohort):
        raise PermissionDenied(f"This needs the right to {act} in this cohort.")
    return found


@requires(Act.CHECK_IN)
@require_POST
def check_in(request: HttpRequest, slot: int) -> HttpResponse:
    """The student is here; the same key, with ``undo``, takes it back."""
    found = _slot(request, slot, Act.CHECK_IN)
    actions.check_in(by=access_of(request).person, slot=found, arrived="undo" not in request.POST)
    return redirect("days:day", day=found.station.day_id)


@requires(Act.SCORE)
@form_page
def open_slot(request: HttpRequest, slot: int) -> HttpResponse:
    """Open the attempt a slot is for; what stands in the way is said, with an instructor's way past it."""
    found = _slot(request, slot, Act.SCORE)
    form = forms.OverrideForm(request.POST if "override_reason" in request.POST else None)
    why, blocked = None, False
    if request.method == "POST" and (not form.is_bound or form.is_valid()):
        reason = form.cleaned_data["override_reason"] if form.is_bound else ""
        try:
            sheet = actions.open_slot(by=access_of(request).person, slot=found, override_reason=reason)
            return redirect(SHEET_PAGE, sheet=sheet.pk)
        except AttemptError as error:
            why, blocked = error.message, error.code == "blocked"
        except DaysError as error:
            why = error.message
    may_override = access_of(request).may(Act.OVERRIDE_POLICY, cohort=found.station.day.cohort)
    context = {"slot": found, "why": why, "form": form if may_override and blocked else None}
    return render(request, "days/open_slot.html", context)


@requires(Act.SCORE)
@form_page
def no_show(request: HttpRequest, slot: int) -> HttpResponse:
    """Close a slot whose student did not come; asks for the reason first."""
    found = _slot(request, slot, Act.SCORE)
    form = forms.NoShowForm(request.POST or None)
    if form.is_valid():
        try:
            actions.close_no_show(by=access_of(request).person, slot=found, reason=form.cleaned_data["reason"])
        except (DaysError, AttemptError) as error:
            form.add_error(None, error.message)
        else:
            messages.success(request, f"{found.student.full_name} is recorded as not having come.")
            return redirect("days:day", day=found.station.day_id)
    return render(request, "days/no_show.html", {"form": form, "slot": found})
