"""Forms of the days room."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django import forms

from checkoffs.attempts.models import Purpose
from checkoffs.days.models import Day, Station
from checkoffs.people.inputs import DateInput, TimeInput
from checkoffs.people.models import Cohort, Membership, Role, User
from checkoffs.people.permissions import Access, Act
from checkoffs.people.queries import staff_of, students_of
from checkoffs.procedures.models import Procedure, ProcedureVersion

SCORERS = (Role.EVALUATOR, Role.INSTRUCTOR)


class DayForm(forms.Form):
    """A date on which a cohort is checked off."""

    cohort = forms.ModelChoiceField(Cohort.objects.none())
    on = forms.DateField(label="Date", widget=DateInput())
    title = forms.CharField(max_length=120, help_text="Such as: Infusion day, skills lab 2.")

    def __init__(self, *args: Any, access: Access, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["cohort"].queryset = access.cohorts(Act.SCHEDULE)  # type: ignore[attr-defined]


class StationForm(forms.Form):
    """A place, what is seen there, and by whom."""

    name = forms.CharField(max_length=80, help_text="As on its door or bed: Station 3.")
    procedure = forms.ModelChoiceField(Procedure.objects.none())
    evaluator = forms.ModelChoiceField(User.objects.none(), required=False, empty_label="Nobody yet")

    def __init__(self, *args: Any, day: Day, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        published = Procedure.objects.filter(program=day.cohort.program, retired_at=None, versions__isnull=False)
        self.fields["procedure"].queryset = published.distinct()  # type: ignore[attr-defined]
        staff = staff_of(day.cohort, on=day.date, roles=SCORERS)
        self.fields["evaluator"].queryset = staff  # type: ignore[attr-defined]


class EnrolmentChoice(forms.ModelMultipleChoiceField):  # type: ignore[type-arg]
    """Students by name, their extra time beside it."""

    def label_from_instance(self, held: Membership) -> str:
        """Name, number and factor."""
        number = f" ({held.person.number})" if held.person.number else ""
        extra = f" · extra time × {held.time_factor.normalize():f}" if held.time_factor != 1 else ""
        return f"{held.person.full_name}{number}{extra}"


class FillForm(forms.Form):
    """Slots one after another at a station."""

    start = forms.TimeField(label="First slot begins", widget=TimeInput())
    minutes = forms.IntegerField(
        label="Minutes at the station", min_value=1, max_value=240, help_text="Longer by itself for extra time."
    )
    changeover = forms.IntegerField(
        label="Minutes between two students", min_value=0, max_value=60, initial=10, help_text="Feedback and reset."
    )
    purpose = forms.ChoiceField(choices=Purpose.choices, initial=Purpose.SUMMATIVE)
    students = EnrolmentChoice(Membership.objects.none(), widget=forms.CheckboxSelectMultiple())

    def __init__(self, *args: Any, station: Station, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.day = station.day
        self.fields["students"].queryset = students_of(self.day.cohort, on=self.day.date)  # type: ignore[attr-defined]

    def clean_start(self) -> datetime:
        """The hour on the day's date, where the program is."""
        zone = ZoneInfo(self.day.cohort.program.time_zone)
        return datetime.combine(self.day.date, self.cleaned_data["start"], tzinfo=zone)


class MoveForm(forms.Form):
    """By how many minutes the rest of a station moves."""

    minutes = forms.IntegerField(
        label="Minutes later", min_value=-240, max_value=240, help_text="A number below zero moves them earlier."
    )

    def clean_minutes(self) -> int:
        """Zero moves nothing."""
        minutes = int(self.cleaned_data["minutes"])
        if minutes == 0:
            raise forms.ValidationError("Zero moves nothing.")
        return minutes


class NoShowForm(forms.Form):
    """Why a slot is closed without the student."""

    reason = forms.CharField(
        max_length=300, help_text="Such as: not here 15 minutes after the start; called, no answer."
    )


class OverrideForm(forms.Form):
    """The reason for which an instructor opens an attempt against the policy."""

    override_reason = forms.CharField(label="Reason for opening it all the same", max_length=300)


class UnplannedForm(forms.Form):
    """A student and a procedure, for an attempt that no slot was planned for."""

    student = forms.ModelChoiceField(User.objects.none(), empty_label="Choose", to_field_name="opaque")
    version = forms.ModelChoiceField(ProcedureVersion.objects.none(), label="Procedure", empty_label="Choose")


class DayFilter(forms.Form):
    """The list's filters; they live in the address."""

    when = forms.ChoiceField(
        choices=[("ahead", "Today and ahead"), ("past", "Past"), ("all", "All")], required=False, label="Days"
    )
    text = forms.CharField(label="Title or cohort", required=False)
