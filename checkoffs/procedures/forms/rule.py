"""The forms of a rule: what fails, score, time limits, order, stated values."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from django import forms
from django.forms import BaseFormSet, formset_factory

from checkoffs.procedures.content import Content, Rule, completed, numbered_steps, section_letter
from checkoffs.procedures.content_shape import MOST_SECONDS
from checkoffs.procedures.forms.step import MARK_CHOICES, decimal_field, seconds_field
from checkoffs.scoring.rule_parts import AUTOMATIC, DEFAULT_SCALE, PROMPT_KINDS

Choices = list[tuple[str, str]]
_SHOWN = 58
AUTOMATIC_WORDS = {
    "breach_unnoticed": "a breach the student does not notice",
    "breach_uncorrected": "a breach that is not corrected",
    "safety_stop": "a stop by the evaluator for safety",
}
SCORE_WORDS = [
    ("none", "no score is asked"),
    ("all", "every step that is not optional"),
    ("percent", "at least a percentage"),
    ("points", "at least a number of points"),
]
REACHING_WORDS = [
    ("fail", "fails the attempt"),
    ("fail_unfinished", "what is done later counts as not performed"),
    ("record", "is only recorded"),
]


class RuleForm(forms.Form):
    """Everything of a rule that is not a list."""

    critical_all = forms.BooleanField(label="Every critical step must be satisfied", required=False)
    automatic_fail = forms.MultipleChoiceField(
        label="Fails in any case",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        choices=[(code, AUTOMATIC_WORDS.get(code, code)) for code in AUTOMATIC],
    )
    identity_required = forms.BooleanField(label="The student's identity must be confirmed", required=False)
    score_kind = forms.ChoiceField(label="Score", choices=SCORE_WORDS)
    score_cut = decimal_field("Cut", required=False, help_text="Percent or points of the whole list.")
    retake_cap = decimal_field("Most a passed retake reports", required=False)
    prompts_total = forms.IntegerField(
        label="Prompts in all", min_value=0, max_value=1000, required=False, help_text="Left empty: no limit."
    )

    def __init__(self, data: Any = None, *, content: Content) -> None:
        self.content = completed(content)
        rule = self.content["rule"]
        super().__init__(data, initial=_flat(rule))
        for kind in PROMPT_KINDS:
            self.fields[f"prompts_{kind}"] = forms.IntegerField(
                label="about time only" if kind == "time" else f"{kind} only",
                min_value=0,
                max_value=1000,
                required=False,
            )
        for section in self.content["sections"]:
            self.fields[f"cut_{section['id']}"] = decimal_field(section.get("title") or "no title", required=False)
        for code, words in MARK_CHOICES:
            self.fields[f"credit_{code}"] = decimal_field(f"Credit for {words}")
            self.fields[f"satisfies_{code}"] = forms.BooleanField(label=f"{words} satisfies", required=False)

    def prompt_fields(self) -> list[Any]:
        """The limits by kind of prompt."""
        return [self[f"prompts_{kind}"] for kind in PROMPT_KINDS]

    def cut_fields(self) -> list[Any]:
        """The cut of each section."""
        return [self[f"cut_{section['id']}"] for section in self.content["sections"]]

    def mark_fields(self) -> list[tuple[str, str, Any, Any]]:
        """Code, words, credit and satisfies of each mark but *not observed*, which is counted both ways."""
        return [
            (code, words, self[f"credit_{code}"], self[f"satisfies_{code}"])
            for code, words in MARK_CHOICES
            if code not in ("not_observed", "not_applicable")
        ]

    def clean(self) -> dict[str, Any]:
        """A percentage or points need a cut, in all or for a section."""
        data = super().clean() or {}
        cuts = [data.get(f"cut_{section['id']}") for section in self.content["sections"]]
        if data.get("score_kind") in ("percent", "points") and not data.get("score_cut") and not any(cuts):
            self.add_error("score_cut", "Give the cut, in all or for a section.")
        return data

    def values(self) -> Rule:
        """The parts of the rule this form holds."""
        data = self.cleaned_data
        counted = data["score_kind"] in ("percent", "points")
        cuts = {s["id"]: data[f"cut_{s['id']}"] for s in self.content["sections"] if data[f"cut_{s['id']}"]}
        kinds = {kind: data[f"prompts_{kind}"] for kind in PROMPT_KINDS if data[f"prompts_{kind}"] is not None}
        return {
            "critical_all": data["critical_all"],
            "automatic_fail": [code for code in AUTOMATIC if code in data["automatic_fail"]],
            "identity_required": data["identity_required"],
            "score": {
                "kind": data["score_kind"],
                "cut": (data["score_cut"] or None) if counted else None,
                "per_section": cuts if counted else {},
                "retake_cap": (data["retake_cap"] or None) if counted else None,
            },
            "prompts": {"total": data["prompts_total"], "by_kind": kinds},
            "mark_scale": self._scale(),
        }

    def _scale(self) -> dict[str, Any]:
        """Only what departs from the usual."""
        asked = {
            code: {
                "credit": self.cleaned_data[f"credit_{code}"],
                "satisfies": self.cleaned_data[f"satisfies_{code}"],
            }
            for code, _, _, _ in self.mark_fields()
        }
        kept = {code: mark for code, mark in self.content["rule"]["mark_scale"].items() if code not in asked}
        return kept | {code: mark for code, mark in asked.items() if mark != DEFAULT_SCALE[code]}


def _flat(rule: Rule) -> dict[str, Any]:
    score, prompts = rule["score"], rule["prompts"]
    flat: dict[str, Any] = {
        "critical_all": rule["critical_all"],
        "automatic_fail": rule["automatic_fail"],
        "identity_required": rule["identity_required"],
        "score_kind": score["kind"],
        "score_cut": score["cut"] or "",
        "retake_cap": score["retake_cap"] or "",
        "prompts_total": prompts["total"],
    }
    flat |= {f"prompts_{kind}": most for kind, most in prompts["by_kind"].items()}
    flat |= {f"cut_{section}": cut for section, cut in score["per_section"].items()}
    for code, mark in ({**DEFAULT_SCALE, **rule["mark_scale"]}).items():
        flat |= {f"credit_{code}": mark["credit"], f"satisfies_{code}": mark["satisfies"]}
    return flat


class Entry(forms.Form):
    """One line of a list of the rule. ``id`` keeps its identity; a line left empty is no entry."""

    id = forms.CharField(required=False, max_length=40, widget=forms.HiddenInput)

    def __init__(self, *args: Any, steps: Choices, places: Choices, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, field in self.fields.items():
            if isinstance(field, forms.ChoiceField) and not field.choices:
                field.choices = [("", "choose"), *(places if name == "of" else steps)]

    def stands(self) -> bool:
        """Whether this line is an entry: it was one before, or something was typed into it."""
        return not self.empty_permitted or self.has_changed()


def _step(label: str, *, required: bool = True) -> forms.ChoiceField:
    return forms.ChoiceField(label=label, required=required)


class PairForm(Entry):
    """One step needs another first."""

    before = _step("First")
    after = _step("Then")
    critical = forms.BooleanField(label="critical", required=False)

    def clean(self) -> dict[str, Any]:
        """A step cannot come before itself."""
        data = super().clean() or {}
        if data.get("before") and data.get("before") == data.get("after"):
            self.add_error("after", "Choose two different steps.")
        return data


class GapForm(Entry):
    """Seconds between two steps."""

    start = _step("From")
    stop = _step("To")
    at_least_s = seconds_field("At least, s")
    at_most_s = seconds_field("At most, s")
    critical = forms.BooleanField(label="critical", required=False)

    def clean(self) -> dict[str, Any]:
        """Two steps, and at least one bound that makes sense."""
        data = super().clean() or {}
        least, most = data.get("at_least_s"), data.get("at_most_s")
        if data.get("start") and data.get("start") == data.get("stop"):
            self.add_error("stop", "Choose two different steps.")
        if least is None and most is None and not self.errors:
            self.add_error("at_least_s", "Give at least or at most.")
        if least is not None and most is not None and least > most:
            self.add_error("at_most_s", f"At most {most} s lies below at least {least} s.")
        return data


class LimitForm(Entry):
    """A time limit for the whole, a section or a step."""

    of = forms.ChoiceField(label="For")
    minutes = forms.IntegerField(label="Minutes", min_value=0, max_value=MOST_SECONDS // 60, required=False)
    seconds = forms.IntegerField(label="Seconds", min_value=0, max_value=59, required=False)
    on_reaching = forms.ChoiceField(label="Passing it", choices=REACHING_WORDS, initial="fail")
    scalable = forms.BooleanField(label="extra time lengthens it", required=False, initial=True)

    def clean(self) -> dict[str, Any]:
        """A limit of no time is none."""
        data = super().clean() or {}
        if not self.errors and not (data.get("minutes") or data.get("seconds")):
            self.add_error("minutes", "Give minutes or seconds.")
        return data


class StatedForm(Entry):
    """A value the student states, verified against the case."""

    id = forms.RegexField(
        label="Key",
        regex=r"^[A-Za-z0-9][A-Za-z0-9_-]{0,39}$",
        help_text="The same key as in the case, such as rate.",
    )
    label = forms.CharField(label="Name", max_length=80)
    step = _step("Stated at", required=False)
    closes_with = _step("Corrected until", required=False)
    must_be_right = forms.BooleanField(label="must be right", required=False, initial=True)
    critical = forms.BooleanField(label="critical", required=False)
    grades_rounding = forms.BooleanField(label="rounding is graded", required=False)
    no_unit = forms.ChoiceField(
        label="Without a unit it is",
        choices=[("wrong", "wrong"), ("accepted", "accepted")],
        required=False,
        initial="wrong",
    )


def _formset(form: type[Entry], most: int) -> type[BaseFormSet[Any]]:
    return formset_factory(form, extra=1, can_delete=True, max_num=most, absolute_max=most + 5)


FORMSETS: dict[str, type[BaseFormSet[Any]]] = {
    "limits": _formset(LimitForm, 60),
    "pairs": _formset(PairForm, 120),
    "gaps": _formset(GapForm, 60),
    "stated": _formset(StatedForm, 12),
}


def rule_lists(content: Content, data: Any = None) -> dict[str, BaseFormSet[Any]]:
    """The formsets of a rule by name. What was posted stands alone: a colleague may have changed the draft since."""
    whole = completed(content)
    options = {"steps": step_choices(whole), "places": place_choices(whole)}
    return {
        name: made(data, prefix=name, initial=None if data else _entries(name, whole["rule"]), form_kwargs=options)
        for name, made in FORMSETS.items()
    }


def step_choices(content: Content) -> Choices:
    """Steps by id, with number and the beginning of their words."""
    return [(found.step["id"], f"{found.number} · {_short(found.step['text'])}") for found in numbered_steps(content)]


def place_choices(content: Content) -> Choices:
    """What a time limit can be for."""
    sections = [
        (f"section:{section['id']}", f"section {section_letter(place)} · {_short(section.get('title', ''))}")
        for place, section in enumerate(content["sections"])
    ]
    steps = [(f"step:{key}", f"step {words}") for key, words in step_choices(content)]
    return [("whole:", "the whole attempt"), *sections, *steps]


def list_values(lists: dict[str, BaseFormSet[Any]], new_id: Callable[[], str]) -> dict[str, list[dict[str, Any]]]:
    """The rule's lists from valid formsets; new entries get an id."""
    return {name: [_entry(name, data, new_id) for data in _kept(lists[name])] for name in FORMSETS}


def _kept(lines: Iterable[Any]) -> Iterable[dict[str, Any]]:
    return [form.cleaned_data for form in lines if form.stands() and not form.cleaned_data.get("DELETE")]


def _entry(name: str, data: dict[str, Any], new_id: Callable[[], str]) -> dict[str, Any]:
    key = data.get("id") or new_id()
    if name == "pairs":
        return {"id": key, "before": data["before"], "after": data["after"], "critical": data["critical"]}
    if name == "gaps":
        bounds = {"at_least_s": data["at_least_s"], "at_most_s": data["at_most_s"]}
        return {"id": key, "from": data["start"], "to": data["stop"], **bounds, "critical": data["critical"]}
    if name == "limits":
        scope, _, of = data["of"].partition(":")
        seconds = (data["minutes"] or 0) * 60 + (data["seconds"] or 0)
        return {
            "id": key,
            "scope": scope,
            "of": of or None,
            "limit_s": seconds,
            "on_reaching": data["on_reaching"],
            "scalable": data["scalable"],
        }
    flags = {flag: data[flag] for flag in ("critical", "must_be_right", "grades_rounding")}
    return {
        "id": key,
        "label": data["label"],
        "step": data["step"] or None,
        "closes_with": data["closes_with"] or None,
        "no_unit": data["no_unit"] or "wrong",
        **flags,
    }


def _entries(name: str, rule: Rule) -> list[dict[str, Any]]:
    if name == "limits":
        return [
            {**entry, "of": f"{entry['scope']}:{entry['of'] or ''}", "minutes": entry["limit_s"] // 60 or None,
             "seconds": entry["limit_s"] % 60 or None}
            for entry in rule["limits"]
        ]  # fmt: skip
    if name == "gaps":
        return [{**entry, "start": entry["from"], "stop": entry["to"]} for entry in rule["gaps"]]
    return [dict(entry) for entry in rule[name]]


def _short(text: str) -> str:
    return text if len(text) <= _SHOWN else text[: _SHOWN - 1].rstrip() + "…"
