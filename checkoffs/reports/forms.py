"""Filters of the report pages; all state stands in the address."""

from __future__ import annotations

from typing import Any

from django import forms

from checkoffs.reports.cells import STATES


class CohortFilter(forms.Form):
    """Which students to show in a cohort, and which procedure on a narrow page."""

    q = forms.CharField(label="Name or number", required=False, max_length=80)
    state = forms.ChoiceField(
        choices=[("", "all states"), *((code, words[0]) for code, words in STATES.items())], required=False
    )
    people = forms.ChoiceField(
        choices=[("", "students now"), ("former", "former ones too")], required=False, label="People"
    )


class FiguresFilter(forms.Form):
    """Which attempts the figures of a procedure stand on."""

    version = forms.TypedChoiceField(required=False, coerce=int, empty_value=None, label="List version")
    attempts = forms.ChoiceField(
        choices=[("", "all attempts"), ("first", "first attempts only")], required=False, label="Attempts"
    )
    since = forms.DateField(
        required=False, label="Since", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )

    def __init__(self, *args: Any, versions: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field: Any = self.fields["version"]
        field.choices = [("", "all versions"), *((str(number), f"version {number}") for number in versions)]

    def wanted(self) -> dict[str, Any]:
        """The filters as ``queries.figures`` takes them; what cannot be read is left open."""
        self.is_valid()
        data = self.cleaned_data
        return {
            "version": data.get("version"),
            "first_only": data.get("attempts") == "first",
            "since": data.get("since"),
        }
