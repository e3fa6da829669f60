"""The form of a case template: the order, its numbers, and the values the student states."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from django import forms
from django.forms import BaseFormSet, formset_factory

from checkoffs.cases.content import LONGEST, MOST_CHECKS
from checkoffs.cases.drawing import LABELS
from checkoffs.cases.errors import CaseError
from checkoffs.cases.values import field_of, typed_of

FURTHER = ("concentration", "rate", "start", "interval", "max_rate", "max_per_day", "min_time")
EXAMPLES = {
    "dose": "3, 5, 7.5 mcg/kg/min",
    "weight": "62 kg; 154 lb",
    "drug_amount": "400 mg",
    "diluent_volume": "50 mL",
    "additive_volume": "10 mL",
    "volume": "250 mL",
    "time": "30 min",
    "drop_factor": "15 gtt/mL",
    "reserve": "20 mL",
}
FINDS = [
    ("rate", "rate"),
    ("vtbi", "volume to be infused (VTBI)"),
    ("drop_rate", "drops a minute"),
    ("dose_rate", "dose from a rate"),
    ("duration", "how long it runs"),
    ("concentration", "concentration"),
    ("dose_volume", "volume of a dose"),
    ("convert", "conversion of a unit"),
]
PLACES = [("0", "a whole number"), ("1", "a tenth"), ("2", "a hundredth"), ("3", "a thousandth")]
MODES = [("half_up", "half up"), ("half_even", "half to even"), ("down", "cut")]
TOLERANCES = [
    ("", "none"),
    ("around", "so much below and above the answer"),
    ("range", "from one number to another"),
    ("last_place", "one unit in the last place"),
]
MODES_OF_ADDING = [
    ("", "not used"),
    ("added", "added: the bag holds both volumes"),
    ("withdrawn_first", "the same volume is withdrawn first"),
    ("nominal", "counted as the volume on the label"),
    ("powder", "powder: no volume of its own"),
]
OTHER_FIELDS = {"find": "find", "label": "label", "id": "id", "uses": "uses", "tolerance": "tolerance_kind"}


def _text(label: str, rows: int, **more: Any) -> forms.CharField:
    widget = forms.Textarea(attrs={"rows": rows})
    return forms.CharField(label=label, max_length=LONGEST, widget=widget, **more)


class CaseForm(forms.Form):
    """Everything of a template but its checks."""

    title = forms.CharField(max_length=200, help_text="Say that it is invented.")
    patient = _text("Patient", 2, required=False, help_text="An invented person, as on the wristband.")
    drug = forms.CharField(max_length=LONGEST, required=False)
    order = _text("The order", 3, help_text="Numbers stand as slots, such as {dose} or {volume}; {drug} as well.")
    label = _text("Label of the bag", 2, required=False, help_text="With the same slots.")
    additive_mode = forms.ChoiceField(label="The drug's own volume", choices=MODES_OF_ADDING, required=False)
    weight_factor = forms.ChoiceField(
        label="Pounds to a kilogram",
        required=False,
        choices=[("", "2.2, as usual"), ("2.2", "2.2"), ("exact", "exact (2.204 62…)")],
    )
    weight_places = forms.IntegerField(
        label="Weight rounded to places",
        min_value=0,
        max_value=4,
        required=False,
        help_text="Left empty: not rounded.",
    )

    def __init__(self, data: Any = None, *, document: Mapping[str, Any]) -> None:
        self.document = document
        held = document.get("fields") or {}
        self.names = [*LABELS, *(name for name in held if name not in LABELS)]
        flat = {f"f_{name}": typed_of(held.get(name)) for name in self.names}
        super().__init__(data, initial={**document, **flat})
        for name in self.names:
            field = forms.CharField(
                label=LABELS.get(name, name.replace("_", " ").capitalize()),
                required=False,
                max_length=4000,
                widget=forms.Textarea(attrs={"rows": 1, "class": "plain", "spellcheck": "false"}),
                help_text=f"{{{name}}}" + (f", such as {EXAMPLES[name]}" if name in EXAMPLES else ""),
            )
            self.fields[f"f_{name}"] = field

    def main_fields(self) -> list[Any]:
        """The numbers most cases have."""
        return [self[f"f_{name}"] for name in self.names if name not in FURTHER]

    def further_fields(self) -> list[Any]:
        """The numbers few cases have."""
        return [self[f"f_{name}"] for name in FURTHER]

    def values(self) -> dict[str, Any]:
        """The parts of the document this form holds."""
        data = self.cleaned_data
        fields = {name: found for name in self.names if (found := field_of(data[f"f_{name}"]))}
        made: dict[str, Any] = {"title": data["title"].strip(), "order": data["order"], "fields": fields}
        for name in ("drug", "patient", "label", "additive_mode", "weight_factor", "weight_places"):
            if data[name] not in ("", None):
                made[name] = data[name]
        return made


class CheckForm(forms.Form):
    """One value the student states."""

    id = forms.RegexField(
        label="Key", regex=r"^[A-Za-z0-9][A-Za-z0-9_-]{0,39}$", help_text="As in the rule, such as rate."
    )
    label = forms.CharField(label="Name", max_length=80)
    find = forms.ChoiceField(label="To be found", choices=FINDS, initial="rate")
    places = forms.ChoiceField(label="Rounded to", choices=PLACES, initial="1")
    mode = forms.ChoiceField(label="By", choices=MODES, initial="half_up")
    step = forms.CharField(
        label="Or in steps of", max_length=12, required=False, help_text="A pump's increment, such as 0.5."
    )
    also = forms.MultipleChoiceField(
        label="Also accepted, rounded to", choices=PLACES, required=False, widget=forms.CheckboxSelectMultiple
    )
    tolerance_kind = forms.ChoiceField(label="Tolerance", choices=TOLERANCES, required=False)
    low = forms.CharField(label="Below, or from", max_length=20, required=False)
    high = forms.CharField(label="Above, or to", max_length=20, required=False)
    uses = forms.CharField(
        label="Uses only",
        max_length=400,
        required=False,
        help_text="Names of numbers, such as volume, reserve. Left empty: all.",
    )

    def stands(self) -> bool:
        """Whether this is a check: it was one before, or something was typed into it."""
        return not self.empty_permitted or self.has_changed()

    def values(self, held: Mapping[str, Any]) -> dict[str, Any]:
        """The check, as the document holds it; parts of the one held before that this form does not show are kept."""
        data = self.cleaned_data
        rounding: dict[str, Any] = {"places": int(data["places"]), "mode": data["mode"]}
        if data["step"].strip():
            rounding = {"step": data["step"].strip(), "mode": data["mode"]}
        made = {name: held[name] for name in ("given",) if name in held} | {
            "id": data["id"],
            "label": data["label"],
            "find": data["find"],
            "rounding": rounding,
            "also_accepted": [{"places": int(places), "mode": data["mode"]} for places in data["also"]],
            "tolerance": self._tolerance(),
        }
        if uses := [name for name in data["uses"].replace(",", " ").split() if name]:
            made["uses"] = uses
        return made

    def _tolerance(self) -> dict[str, Any] | None:
        data = self.cleaned_data
        low, high = data["low"].strip(), data["high"].strip()
        return {
            "around": {"minus": low or "0", "plus": high or "0"},
            "range": {"low": low, "high": high},
            "last_place": {"last_place": True},
        }.get(data["tolerance_kind"])


Checks = formset_factory(CheckForm, extra=1, can_delete=True, max_num=MOST_CHECKS, absolute_max=MOST_CHECKS)


def checks_of(document: Mapping[str, Any], data: Any = None) -> BaseFormSet[Any]:
    """The formset of a document's checks."""
    initial = None if data else [_flat(check) for check in document.get("checks", [])]
    return Checks(data, prefix="checks", initial=initial)


def document_of(form: CaseForm, checks: Iterable[CheckForm]) -> dict[str, Any]:
    """The document from valid forms."""
    held = {check.get("id"): check for check in form.document.get("checks", [])}
    made = [check.values(held.get(check.cleaned_data["id"], {})) for check in _kept(checks)]
    return form.values() | {"checks": made}


def add_errors(form: CaseForm, checks: Iterable[CheckForm], errors: Iterable[CaseError]) -> None:
    """Put each error to the field it is about, or above the form."""
    kept = _kept(checks)
    for error in errors:
        part, _, rest = error.field.partition(".")
        index, _, name = rest.partition(".")
        if part == "checks" and index.isdigit() and int(index) < len(kept):
            target = {"rounding": "step" if kept[int(index)].cleaned_data.get("step") else "places"}.get(name)
            field = target or OTHER_FIELDS.get(name, "also" if name == "also_accepted" else None)
            kept[int(index)].add_error(field or "find", error.message)
        elif part == "fields" and f"f_{rest}" in form.fields:
            form.add_error(f"f_{rest}", error.message)
        else:
            form.add_error(part if part in form.fields else None, error.message)


def _kept(checks: Iterable[CheckForm]) -> list[CheckForm]:
    return [check for check in checks if check.stands() and not check.cleaned_data.get("DELETE")]


def _flat(check: Mapping[str, Any]) -> dict[str, Any]:
    rounding, tolerance = check.get("rounding") or {}, check.get("tolerance") or {}
    kind = "last_place" if "last_place" in tolerance else "range" if "low" in tolerance else "around"
    return {
        "id": check.get("id", ""),
        "label": check.get("label", ""),
        "find": check.get("find", "rate"),
        "places": str(rounding.get("places", 1) or 0),
        "mode": rounding.get("mode", "half_up"),
        "step": rounding.get("step") or "",
        "also": [str(one.get("places")) for one in check.get("also_accepted") or []],
        "tolerance_kind": kind if tolerance else "",
        "low": tolerance.get("low", tolerance.get("minus", "")),
        "high": tolerance.get("high", tolerance.get("plus", "")),
        "uses": ", ".join(check.get("uses") or []),
    }
