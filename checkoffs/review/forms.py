"""Forms of the review room."""

from __future__ import annotations

from typing import Any

from django import forms

from checkoffs.people.models import Cohort
from checkoffs.review.models import LONGEST_STATEMENT


class ReceiptForm(forms.Form):
    """The receipt of a record, with room for the student's own words."""

    statement = forms.CharField(
        label="Your words (may stay empty)",
        required=False,
        max_length=LONGEST_STATEMENT,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Kept beside the record for ever; staff of your cohort can read it.",
    )


class TaskFilter(forms.Form):
    """What to show in the list of tasks; everything may be left open."""

    q = forms.CharField(label="Name or number", required=False, max_length=80)
    cohort = forms.ModelChoiceField(queryset=Cohort.objects.none(), required=False, empty_label="all cohorts")
    state = forms.ChoiceField(
        choices=[
            ("", "not confirmed"),
            ("done", "done, to confirm"),
            ("open", "not done yet"),
            ("confirmed", "confirmed"),
        ],
        required=False,
    )

    def __init__(self, *args: Any, cohorts: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["cohort"].queryset = cohorts  # type: ignore[attr-defined]
