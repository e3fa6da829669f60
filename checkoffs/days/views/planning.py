"""Pages with which a coordinator plans a day."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from checkoffs.days import forms, planning, queries
from checkoffs.days.errors import DaysError
from checkoffs.days.models import Day, Slot, Station
from checkoffs.days.views.running import form_page
from checkoffs.people.permissions import Act, access_of, requires


def _day(request: HttpRequest, day: int) -> Day:
    return get_object_or_404(queries.days_planned_by(access_of(request)), pk=day)


def _station(request: HttpRequest, station: int) -> Station:
    stations = Station.objects.select_related("day__cohort__program", "procedure", "evaluator")
    planned = access_of(request).cohorts(Act.SCHEDULE)
    return get_object_or_404(stations.filter(day__cohort__in=planned), pk=station)


def _refused(form: Any, error: DaysError) -> None:
    form.add_error(error.field if error.field in form.fields else None, error.message)


@requires(Act.SCHEDULE)
@form_page
def plan_day(request: HttpRequest) -> HttpResponse:
    """A new day; its stations follow."""
    form = forms.DayForm(request.POST or None, access=access_of(request), initial={"on": timezone.localdate()})
    if form.is_valid():
        data = form.cleaned_data
        day = planning.plan_day(
            by=access_of(request).person, cohort=data["cohort"], on=data["on"], title=data["title"]
        )
        return redirect("days:add_station", day=day.pk)
    return render(request, "days/day_form.html", {"form": form})


@requires(Act.SCHEDULE)
@form_page
def edit_day(request: HttpRequest, day: int) -> HttpResponse:
    """Change a day's title or date."""
    found = _day(request, day)
    initial = {"cohort": found.cohort, "on": found.date, "title": found.title}
    form = forms.DayForm(request.POST or None, access=access_of(request), initial=initial)
    form.fields["cohort"].disabled = True
    if form.is_valid():
        data = form.cleaned_data
        try:
            planning.change_day(by=access_of(request).person, day=found, on=data["on"], title=data["title"])
            return redirect("days:day", day=found.pk)
        except DaysError as error:
            _refused(form, error)
    return render(request, "days/day_form.html", {"form": form, "day": found})


@requires(Act.SCHEDULE)
@form_page
def add_station(request: HttpRequest, day: int) -> HttpResponse:
    """Add a station; filling it follows."""
    found = _day(request, day)
    name = f"Station {found.stations.count() + 1}"
    form = forms.StationForm(request.POST or None, day=found, initial={"name": name})
    if form.is_valid():
        try:
            station = planning.add_station(by=access_of(request).person, day=found, **form.cleaned_data)
            return redirect("days:fill_station", station=station.pk)
        except DaysError as error:
            _refused(form, error)
    return render(request, "days/station_form.html", {"form": form, "day": found})


@requires(Act.SCHEDULE)
@form_page
def edit_station(request: HttpRequest, station: int) -> HttpResponse:
    """Change a station's name, evaluator or procedure."""
    found = _station(request, station)
    initial = {"name": found.name, "procedure": found.procedure, "evaluator": found.evaluator}
    form = forms.StationForm(request.POST or None, day=found.day, initial=initial)
    if form.is_valid():
        try:
            planning.change_station(by=access_of(request).person, station=found, **form.cleaned_data)
            return redirect("days:day", day=found.day_id)
        except DaysError as error:
            _refused(form, error)
    return render(request, "days/station_form.html", {"form": form, "day": found.day, "station": found})


@requires(Act.SCHEDULE)
@form_page
def remove_station(request: HttpRequest, station: int) -> HttpResponse:
    """Take a station away; asks first."""
    found = _station(request, station)
    if request.method == "POST":
        try:
            planning.remove_station(by=access_of(request).person, station=found)
        except DaysError as error:
            messages.error(request, error.message)
        return redirect("days:day", day=found.day_id)
    return render(request, "days/remove_station.html", {"station": found, "slots": found.slots.count()})


@requires(Act.SCHEDULE)
@form_page
def fill_station(request: HttpRequest, station: int) -> HttpResponse:
    """Slots for chosen students, one after another."""
    found = _station(request, station)
    form = forms.FillForm(request.POST or None, station=found, initial=queries.fill_defaults(found))
    if form.is_valid():
        try:
            slots = planning.fill_station(by=access_of(request).person, station=found, **form.cleaned_data)
            messages.success(request, f"{len(slots)} slots are planned at {found.name}.")
            return redirect("days:day", day=found.day_id)
        except DaysError as error:
            _refused(form, error)
    return render(request, "days/fill.html", {"form": form, "station": found})


@requires(Act.SCHEDULE)
@form_page
def move_slots(request: HttpRequest, station: int) -> HttpResponse:
    """Move the rest of a station when the lab runs late."""
    found = _station(request, station)
    form = forms.MoveForm(request.POST or None, initial={"minutes": 10})
    if form.is_valid():
        minutes = form.cleaned_data["minutes"]
        try:
            moved = planning.move_slots(by=access_of(request).person, station=found, minutes=minutes)
            messages.success(request, f"{moved} slots at {found.name} moved by {minutes} minutes.")
            return redirect("days:day", day=found.day_id)
        except DaysError as error:
            _refused(form, error)
    return render(request, "days/move.html", {"form": form, "station": found})


@requires(Act.SCHEDULE)
@form_page
def remove_slot(request: HttpRequest, slot: int) -> HttpResponse:
    """Take one slot away; asks first."""
    slots = Slot.objects.select_related("student", "station__day__cohort__program")
    planned = access_of(request).cohorts(Act.SCHEDULE)
    found = get_object_or_404(slots.filter(station__day__cohort__in=planned), pk=slot)
    if request.method == "POST":
        try:
            planning.remove_slot(by=access_of(request).person, slot=found)
        except DaysError as error:
            messages.error(request, error.message)
        return redirect("days:day", day=found.station.day_id)
    return render(request, "days/remove_slot.html", {"slot": found})
