"""The document of a case template: its shape, and what can be wrong with it before a number is drawn. Pure.

The document (JSON; keys marked * may be left out)::

    {"title", "order": text with {slots},
     "drug"*: text, "patient"*: text, "label"*: text with {slots}   (what is written on the bag)
     "fields": {name: {"fixed": "5 mcg/kg/min"} | {"choose": ["5 mcg/kg/min", "7.5 mcg/kg/min"]}},
     "weight_factor"*: "2.2" | "exact", "weight_places"*: int | null, "additive_mode"*: text,
     "checks": [{"id", "label", "find", "rounding", "also_accepted"*: [rounding],
                 "tolerance"*: {"plus", "minus"} | {"low", "high"} | null,
                 "uses"*: [field names], left out = all;  "given"*: {name: text}, inputs of this check alone}]}

Field names are the inputs of the calculators (``dose``, ``weight``, ``drug_amount`` ...); a slot is a field's name,
or ``drug`` or ``patient``. Values are texts with their unit, as they are read on an order.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from checkoffs.cases.errors import CaseError

SLOT = re.compile(r"\{([^{}]*)\}")
NAME = re.compile(r"[a-z][a-z0-9_]{0,39}")
WORDS = ("drug", "patient")
SETTINGS = ("weight_factor", "weight_places", "additive_mode")
_TOP = {"title", "order", "label", "fields", "checks", *WORDS, *SETTINGS}
_CHECK = {"id", "label", "find", "rounding", "also_accepted", "tolerance", "uses", "given"}
MOST_CHOICES = 60
MOST_FIELDS = 30
MOST_CHECKS = 12
LONGEST = 2000


def problems(document: Any) -> list[CaseError]:
    """Everything that is wrong with a template document; an empty list when it can be drawn from."""
    if not isinstance(document, Mapping):
        return [CaseError("not_an_object", "", "A case is an object with title, order, fields and checks.")]
    return [*_top(document), *_fields(document), *_slots(document), *_checks(document)]


def check(document: Any) -> None:
    """Raise the first problem of a document (CaseError)."""
    found = problems(document)
    if found:
        raise found[0]


def choices(document: Mapping[str, Any]) -> dict[str, list[str]]:
    """The values each field may take, in the document's order; one for a fixed field."""
    return {
        name: [field["fixed"]] if "fixed" in field else list(field["choose"])
        for name, field in document["fields"].items()
    }


def fill(text: str, document: Mapping[str, Any], values: Mapping[str, str]) -> str:
    """A text with its slots filled."""
    words = {word: document.get(word, "") for word in WORDS} | dict(values)
    return SLOT.sub(lambda slot: words[slot.group(1)], text)


def given(document: Mapping[str, Any], check: Mapping[str, Any], values: Mapping[str, str]) -> dict[str, Any]:
    """The calculators' inputs for one check of a drawn case."""
    uses = check.get("uses")
    settings = {name: document[name] for name in SETTINGS if document.get(name) is not None}
    drawn = {name: value for name, value in values.items() if uses is None or name in uses}
    return settings | drawn | dict(check.get("given") or {})


def slots(text: str) -> list[str]:
    """The names of the slots in a text, in order of appearance."""
    return SLOT.findall(text)


def _top(document: Mapping[str, Any]) -> Iterator[CaseError]:
    for name in sorted(set(document) - _TOP, key=str):
        yield CaseError("unknown_field", str(name)[:40], "A case has no such part.")
    for name in ("title", "order", "label", *WORDS):
        value = document.get(name)
        if value is None and name in ("title", "order"):
            yield CaseError("missing", name, f"Write the {name} of the case.")
        elif value is not None and not _text(value, may_be_empty=name not in ("title", "order")):
            yield CaseError("not_a_text", name, f"The {name} is a text of at most {LONGEST} characters.")


def _fields(document: Mapping[str, Any]) -> Iterator[CaseError]:
    fields = document.get("fields")
    if not isinstance(fields, Mapping) or not 0 < len(fields) <= MOST_FIELDS:
        yield CaseError(
            "missing", "fields", f"Give between 1 and {MOST_FIELDS} numbers, each fixed or chosen from a set."
        )
        return
    for name, field in fields.items():
        at = f"fields.{str(name)[:40]}"
        if not isinstance(name, str) or not NAME.fullmatch(name) or name in WORDS:
            yield CaseError("unknown_field", at, "A field is named in small letters, such as drug_amount.")
        elif not isinstance(field, Mapping) or len(field) != 1 or not {"fixed", "choose"} & set(field):
            yield CaseError("unknown_value", at, "Give either one fixed value or a set to choose from.")
        elif "fixed" in field and not _text(field["fixed"]):
            yield CaseError("not_a_text", at, "Write the value with its unit, such as 250 mL.")
        elif "choose" in field:
            yield from _choose(field["choose"], at)


def _choose(values: Any, at: str) -> Iterator[CaseError]:
    if not isinstance(values, list) or not 0 < len(values) <= MOST_CHOICES or not all(map(_text, values)):
        yield CaseError("unknown_value", at, f"Give between 1 and {MOST_CHOICES} values, each with its unit.")
    elif len(set(values)) != len(values):
        yield CaseError("duplicate", at, "A value stands in the set twice.")


def _slots(document: Mapping[str, Any]) -> Iterator[CaseError]:
    fields = document.get("fields")
    known = {*WORDS, *(fields if isinstance(fields, Mapping) else ())}
    for name in ("order", "label"):
        text = document.get(name)
        if not isinstance(text, str):
            continue
        for slot in slots(text):
            if slot not in known:
                yield CaseError("unknown_slot", name, f"{{{slot[:40]}}} is neither a field nor drug or patient.")
        if re.search(r"[{}]", SLOT.sub("", text)):
            yield CaseError("unknown_slot", name, "A curly bracket stands alone; slots are written {dose}.")


def _checks(document: Mapping[str, Any]) -> Iterator[CaseError]:
    checks = document.get("checks")
    if not isinstance(checks, list) or not 0 < len(checks) <= MOST_CHECKS:
        yield CaseError("missing", "checks", f"Ask for between 1 and {MOST_CHECKS} values.")
        return
    seen: set[str] = set()
    for index, one in enumerate(checks):
        at = f"checks.{index}"
        if not isinstance(one, Mapping):
            yield CaseError("not_an_object", at, "A check has an id, a label and what to find.")
            continue
        yield from _check(document, one, at)
        name = str(one.get("id"))
        if name in seen:
            yield CaseError("duplicate", f"{at}.id", "Two checks have the same id.")
        seen.add(name)


def _check(document: Mapping[str, Any], one: Mapping[str, Any], at: str) -> Iterator[CaseError]:
    for name in sorted(set(one) - _CHECK, key=str):
        yield CaseError("unknown_field", f"{at}.{str(name)[:40]}", "A check has no such part.")
    for name in ("id", "label", "find"):
        if not _text(one.get(name)):
            yield CaseError("missing", f"{at}.{name}", f"Give the {name} of this check.")
    if not isinstance(one.get("rounding"), Mapping):
        yield CaseError("missing", f"{at}.rounding", 'Say how the answer is rounded, such as {"places": 1}.')
    if not isinstance(one.get("also_accepted", []), list):
        yield CaseError("not_a_list", f"{at}.also_accepted", "Further roundings stand in a list.")
    if not isinstance(one.get("tolerance") or {}, Mapping):
        yield CaseError("not_an_object", f"{at}.tolerance", "A tolerance is plus and minus, or low and high.")
    if not isinstance(one.get("given") or {}, Mapping):
        yield CaseError("not_an_object", f"{at}.given", "Inputs of a check stand by name.")
    fields = document.get("fields")
    uses = one.get("uses")
    if uses is not None and (not isinstance(uses, list) or not isinstance(fields, Mapping)):
        yield CaseError("not_a_list", f"{at}.uses", "The fields a check uses stand in a list.")
    elif uses is not None:
        known = set(fields or ())
        for name in uses:
            if not isinstance(name, str) or name not in known:
                yield CaseError("unknown_field", f"{at}.uses", f"{str(name)[:40]} is no field of this case.")


def _text(value: Any, *, may_be_empty: bool = False) -> bool:
    return isinstance(value, str) and len(value) <= LONGEST and (may_be_empty or bool(value.strip()))
