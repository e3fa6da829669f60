"""Forms of the attempts room; each offers only people, procedures and cases that the person may choose."""

from __future__ import annotations

from datetime import date
from typing import Any

from django import forms
from django.db.models import Exists, OuterRef, Q, QuerySet
from django.utils import timezone

from checkoffs.attempts.models import Attempt, Purpose, Sheet
from checkoffs.attempts.queries import newest_versions
from checkoffs.cases.models import CaseTemplate
from checkoffs.people.models import Cohort, Membership, Role, User
from checkoffs.people.permissions import Access, Act
from checkoffs.people.queries import in_force, staff_of
from checkoffs.procedures.models import ProcedureVersion


class StudentChoice(forms.ModelChoiceField):  # type: ignore[type-arg]
    """Students by full name and number; the address carries the opaque id."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(User.objects.none(), to_field_name="opaque", empty_label="Choose", **kwargs)

    def label_from_instance(self, obj: Any) -> str:
        """Two students of one name differ by their number."""
        return f"{obj.full_name}, {obj.number}" if obj.number else obj.full_name


def enrolments(cohorts: QuerySet[Cohort], on: date) -> QuerySet[Membership]:
    """Students' memberships of these cohorts on a date, newest first."""
    held = Membership.objects.filter(in_force(on), cohort__in=cohorts.values("pk"), role=Role.STUDENT)
    return held.filter(person__is_active=True).select_related("cohort__program").order_by("-starts", "pk")


def cohorts_to_score(access: Access) -> QuerySet[Cohort]:
    """Cohorts in which this person scores, if only practice."""
    return access.cohorts(Act.SCORE) | access.cohorts(Act.SCORE_PRACTICE)


class ChooseForm(forms.Form):
    """Who does what, and what it counts for."""

    student = StudentChoice()
    version = forms.ModelChoiceField(ProcedureVersion.objects.none(), label="Procedure", empty_label="Choose")
    purpose = forms.ChoiceField(choices=Purpose.choices, initial=Purpose.SUMMATIVE)

    def __init__(self, *args: Any, access: Access, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        cohorts = cohorts_to_score(access)
        self._held = enrolments(cohorts, timezone.localdate())
        students = User.objects.filter(Exists(self._held.filter(person=OuterRef("pk")))).exclude(pk=access.person.pk)
        self.fields["student"].queryset = students.order_by("full_name", "pk")  # type: ignore[attr-defined]
        programs = access.programs(Act.SCORE) | access.programs(Act.SCORE_PRACTICE)
        self.fields["version"].queryset = newest_versions(programs)  # type: ignore[attr-defined]
        if not access.may(Act.SCORE):
            self.fields["purpose"].choices = [(Purpose.PRACTICE.value, Purpose.PRACTICE.label)]  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        """Find the cohort in which the student does this procedure."""
        chosen: dict[str, Any] = super().clean() or {}
        student, version = chosen.get("student"), chosen.get("version")
        if student and version:
            held = self._held.filter(person=student, cohort__program=version.procedure.program_id).first()
            if held is None:
                raise forms.ValidationError("This student is in no cohort of the program of this procedure.")
            chosen["cohort"] = held.cohort
        return chosen


class OpenForm(ChooseForm):
    """The choice again, and what the attempt needs besides."""

    template = forms.ModelChoiceField(
        CaseTemplate.objects.none(), required=False, label="Case", empty_label="No case"
    )
    place = forms.CharField(max_length=80, required=False, help_text="Such as a room or bed.")
    override_reason = forms.CharField(
        label="Reason for opening it all the same", max_length=300, required=False, widget=forms.HiddenInput
    )

    def __init__(self, *args: Any, access: Access, **kwargs: Any) -> None:
        # Both forms stand on one page: ids of their own.
        super().__init__(*args, access=access, auto_id="open_%s", **kwargs)
        for name in ("student", "version", "purpose"):
            self.fields[name].widget = forms.HiddenInput()
        self.fields["template"].queryset = CaseTemplate.objects.filter(  # type: ignore[attr-defined]
            retired_at=None, procedure__program__in=access.programs(Act.SCORE) | access.programs(Act.SCORE_PRACTICE)
        )

    def offer(self, version: ProcedureVersion, suitable: list[CaseTemplate], *, asked: bool, override: bool) -> None:
        """Show the cases of one procedure only, and ask for a reason where one is needed."""
        case = self.fields["template"]
        case.queryset = CaseTemplate.objects.filter(pk__in=[one.pk for one in suitable])  # type: ignore[attr-defined]
        if asked:
            case.required, case.empty_label = True, "Choose"  # type: ignore[attr-defined]
        if len(suitable) == 1:
            case.initial = suitable[0]
        if not suitable:
            case.widget = forms.HiddenInput()
        if override:
            self.fields["override_reason"].widget = forms.Textarea(attrs={"rows": 2})


class NoShowForm(ChooseForm):
    """A student who did not come."""

    purpose = forms.ChoiceField(choices=Purpose.choices[:2], initial=Purpose.SUMMATIVE)
    place = forms.CharField(max_length=80, required=False)
    reason = forms.CharField(max_length=300, help_text="Such as: called at 10:00 and 10:15, no answer.")


class MoveForm(forms.Form):
    """The right student, and how the mistake was seen."""

    student = StudentChoice(label="The right student")
    reason = forms.CharField(max_length=300, help_text="How it was seen that another student was scored.")

    def __init__(self, *args: Any, attempt: Attempt, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        held = enrolments(Cohort.objects.filter(pk=attempt.cohort_id), timezone.localdate())
        students = User.objects.filter(Exists(held.filter(person=OuterRef("pk")))).exclude(pk=attempt.student_id)
        self.fields["student"].queryset = students.order_by("full_name", "pk")  # type: ignore[attr-defined]


class HandOverForm(forms.Form):
    """Who goes on with a sheet, and why."""

    to = forms.ModelChoiceField(
        User.objects.none(), label="Who goes on", empty_label="Choose", to_field_name="opaque"
    )
    reason = forms.CharField(max_length=300)

    def __init__(self, *args: Any, sheet: Sheet, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        attempt = sheet.attempt
        staff = staff_of(attempt.cohort, on=timezone.localdate(), roles=(Role.EVALUATOR, Role.INSTRUCTOR))
        taken = Q(pk=attempt.student_id) | Q(sheets__attempt=attempt)
        self.fields["to"].queryset = staff.exclude(taken)  # type: ignore[attr-defined]


class ReasonForm(forms.Form):
    """Only a reason."""

    reason = forms.CharField(max_length=300)
