"""Forms of the records room."""

from __future__ import annotations

from typing import Any

from django import forms

from checkoffs.attempts.models import Attempt
from checkoffs.people.models import Cohort, User
from checkoffs.procedures.models import Procedure


class AmendForm(forms.Form):
    """A correction beside a record."""

    outcome = forms.ChoiceField(
        label="Outcome that stands from now on",
        choices=[("", "stays as it is"), ("satisfactory", "Satisfactory"), ("unsatisfactory", "Unsatisfactory")],
        required=False,
    )
    text = forms.CharField(
        label="What is corrected",
        widget=forms.Textarea(attrs={"rows": 3}),
        max_length=2000,
        required=False,
        help_text="Printed on the amendment. Leave empty if only the outcome changes.",
    )
    reason = forms.CharField(
        label="Reason",
        widget=forms.Textarea(attrs={"rows": 3}),
        max_length=2000,
        help_text="Printed on the amendment with your name.",
    )


class VoidForm(forms.Form):
    """The reason why a record does not count."""

    reason = forms.CharField(
        label="Reason",
        widget=forms.Textarea(attrs={"rows": 3}),
        max_length=2000,
        help_text="Printed with your name. The student sees it.",
    )


class FilterForm(forms.Form):
    """What to show in the list of records; everything may be left open."""

    q = forms.CharField(label="Name, number or code", required=False, max_length=80)
    cohort = forms.ModelChoiceField(queryset=Cohort.objects.none(), required=False, empty_label="all cohorts")
    procedure = forms.ModelChoiceField(
        queryset=Procedure.objects.none(), required=False, empty_label="all procedures"
    )
    outcome = forms.ChoiceField(
        choices=[
            ("", "all outcomes"),
            ("satisfactory", "Satisfactory"),
            ("unsatisfactory", "Unsatisfactory"),
            ("void", "Void"),
        ],
        required=False,
    )

    def __init__(self, *args: Any, cohorts: Any, procedures: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["cohort"].queryset = cohorts  # type: ignore[attr-defined]
        self.fields["procedure"].queryset = procedures  # type: ignore[attr-defined]
        for name, field in self.fields.items():
            field.widget.attrs["class"] = "form-control" if name == "q" else "form-select"


class ModeratorForm(forms.Form):
    """Whom a coordinator names as the moderator: somebody who scored no sheet and is not the student."""

    moderator = forms.ModelChoiceField(queryset=User.objects.none(), label="Moderator")

    def __init__(self, *args: Any, attempt: Attempt, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        teaching = User.objects.filter(
            memberships__program=attempt.cohort.program, memberships__role__in=["instructor", "evaluator"]
        )
        scored = attempt.sheets.exclude(kind="moderation").values("evaluator")
        found = teaching.exclude(pk__in=scored).exclude(pk=attempt.student_id).distinct().order_by("full_name")
        self.fields["moderator"].queryset = found  # type: ignore[attr-defined]
