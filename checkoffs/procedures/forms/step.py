"""The form of one step, and of the procedure's title and summary."""

from __future__ import annotations

from typing import Any

from django import forms

from checkoffs.procedures.content import Content, NumberedStep, Step
from checkoffs.procedures.content_shape import LONGEST_TEXT, LONGEST_TITLE, MOST_SECONDS
from checkoffs.scoring.rule_parts import MARKS

MARK_WORDS = {
    "performed": "performed",
    "self_corrected": "self-corrected",
    "prompted": "performed after a prompt",
    "said": "said, not done",
    "not_performed": "not performed",
    "not_observed": "not observed",
    "not_applicable": "not applicable",
}
MARK_CHOICES = [(code, MARK_WORDS[code]) for code in MARKS]


def decimal_field(label: str, **more: Any) -> forms.CharField:
    """A decimal that stays the text that was typed, as content holds it."""
    check = forms.RegexField(regex=r"^-?\d{1,9}(\.\d{1,9})?$", label=label, **more)
    check.error_messages["invalid"] = "Write a decimal number, such as 80 or 2.5."
    check.widget.attrs["inputmode"] = "decimal"
    return check


def seconds_field(label: str, **more: Any) -> forms.IntegerField:
    """Whole seconds."""
    return forms.IntegerField(label=label, min_value=0, max_value=MOST_SECONDS, required=False, **more)


class LinesField(forms.CharField):
    """A list of texts, one a line."""

    widget = forms.Textarea

    def __init__(self, *, most: int, rows: int = 2, **kwargs: Any) -> None:
        self.most = most
        super().__init__(required=False, widget=forms.Textarea(attrs={"rows": rows}), **kwargs)

    def prepare_value(self, value: Any) -> Any:
        """A list as lines; what was typed stays."""
        return "\n".join(value) if isinstance(value, list) else value

    def clean(self, value: Any) -> Any:
        """Lines as a list, empty ones left out."""
        lines = [line.strip() for line in str(super().clean(value)).splitlines() if line.strip()]
        if len(lines) > self.most:
            raise forms.ValidationError(f"{len(lines)} lines were typed; up to {self.most} are kept.")
        if any(len(line) > LONGEST_TEXT for line in lines):
            raise forms.ValidationError(f"A line may have up to {LONGEST_TEXT} characters.")
        return lines


def _words(label: str, rows: int = 2, **more: Any) -> forms.CharField:
    return forms.CharField(
        label=label, max_length=LONGEST_TEXT, required=False, widget=forms.Textarea(attrs={"rows": rows}), **more
    )


class StepForm(forms.Form):
    """Every field of a step; its place in the list is changed by orders of the editor."""

    text = _words("What is done")
    critical = forms.BooleanField(label="Critical: a miss fails the attempt", required=False)
    critical_reason = _words("Why it is critical", help_text="Shown to the student when it is missed.")
    cue = _words("Cue for the evaluator", help_text="Never shown to students.")
    subpoints = LinesField(label="Sub-points", most=60, help_text="One a line. Read by the evaluator, not marked.")
    why = _words("Why it matters", help_text="Shown to the student after a miss.")
    right = LinesField(label="What right looks like", most=20, help_text="One a line.")
    phrases = LinesField(
        label="Phrases for comments", most=40, help_text="One a line; offered to the evaluator at this step."
    )
    section = forms.ChoiceField()
    optional = forms.BooleanField(label="Optional: may be left open", required=False)
    points = decimal_field("Points", help_text="Its weight where a score is asked.")
    marks = forms.MultipleChoiceField(
        label="Allowed marks", choices=MARK_CHOICES, required=False, widget=forms.CheckboxSelectMultiple
    )
    timed_least = seconds_field("At least, seconds")
    timed_most = seconds_field("At most, seconds")
    measured_unit = forms.CharField(label="Unit", max_length=40, required=False)
    measured_target = forms.CharField(
        label="Value aimed at",
        max_length=LONGEST_TITLE,
        required=False,
        help_text="Left empty, the evaluator's own count.",
    )
    measured_tolerance = decimal_field("Tolerance either way", required=False)

    def __init__(self, data: Any = None, *, content: Content, found: NumberedStep) -> None:
        super().__init__(data, initial=_initial(found), auto_id="step_%s")
        self.fields["section"].choices = [  # type: ignore[attr-defined]
            (section["id"], section.get("title") or "no title") for section in content["sections"]
        ]
        self.fields["text"].widget.attrs["data-first"] = ""

    def clean(self) -> dict[str, Any]:
        """A critical step needs its reason at publishing, not yet here; bounds must not cross."""
        data = super().clean() or {}
        least, most = data.get("timed_least"), data.get("timed_most")
        if least is not None and most is not None and least > most:
            self.add_error("timed_most", f"At most {most} s lies below at least {least} s.")
        if not data.get("measured_unit") and (data.get("measured_target") or data.get("measured_tolerance")):
            self.add_error("measured_unit", "A measured value needs its unit, such as /min or mL.")
        if not data.get("marks") and not self.errors:
            self.add_error("marks", "At least one mark must be allowed.")
        return data

    def values(self) -> dict[str, Any]:
        """The step's fields, as content holds them."""
        data = self.cleaned_data
        plain = ("text", "cue", "why", "right", "critical", "critical_reason", "subpoints", "optional", "phrases")
        timed = {"at_least_s": data["timed_least"], "at_most_s": data["timed_most"]}
        measured = {
            "unit": data["measured_unit"],
            "target": data["measured_target"] or None,
            "tolerance": data["measured_tolerance"] or None,
        }
        return {name: data[name] for name in plain} | {
            "points": data["points"],
            "marks": None if len(data["marks"]) == len(MARKS) else [code for code in MARKS if code in data["marks"]],
            "timed": timed if any(value is not None for value in timed.values()) else None,
            "measured": measured if data["measured_unit"] else None,
        }


def _initial(found: NumberedStep) -> dict[str, Any]:
    step: Step = found.step
    timed: dict[str, Any] = dict(step.get("timed") or {})
    measured: dict[str, Any] = dict(step.get("measured") or {})
    allowed = step.get("marks")
    return {
        **step,
        "section": found.section["id"],
        "marks": list(MARKS) if allowed is None else allowed,
        "timed_least": timed.get("at_least_s"),
        "timed_most": timed.get("at_most_s"),
        "measured_unit": measured.get("unit", ""),
        "measured_target": measured.get("target") or "",
        "measured_tolerance": measured.get("tolerance") or "",
    }


class HeadForm(forms.Form):
    """Title and summary of the procedure."""

    title = forms.CharField(max_length=LONGEST_TITLE)
    summary = _words("Summary", 3, help_text="What it is for and when; read by evaluators and students.")
