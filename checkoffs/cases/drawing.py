"""Drawing one case from a template: numbers by a recorded seed, the order as it is read, and the answer key.

The same template and seed give the same case for ever: the numbers come from ``random.Random(seed)`` and from nothing
else. A set of numbers under which a slip would look right, or two of the most likely look the same, is drawn again.
"""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

import calculators
from checkoffs.cases import content
from checkoffs.cases.errors import CaseError

NO_RECKONING = {"digits_transposed", "rounded_otherwise"}  # slips of the pen: they say nothing of how it was reckoned
LIKELY = 5  # so many slips at the head of a key are held apart
TRIES = 3  # few, so that every combination stays possible and answers do not leak from one student to the next
LABELS = {
    "dose": "Ordered dose",
    "weight": "Weight",
    "drug_amount": "Drug in the bag",
    "diluent_volume": "Diluent",
    "additive_volume": "Volume of the drug itself",
    "concentration": "Concentration",
    "volume": "Volume",
    "time": "Over",
    "rate": "Rate",
    "drop_factor": "Drop factor of the set",
    "reserve": "Keep in reserve",
    "start": "Start",
    "interval": "Every",
    "max_rate": "Highest rate",
    "max_per_day": "Most in a day",
    "min_time": "Shortest time",
}


@dataclass(frozen=True)
class Draw:
    """values: field → text; content and answer_key as stored on a drawn case; clashes: numbers that could mislead."""

    values: dict[str, str]
    content: dict[str, Any]
    answer_key: dict[str, Any]
    clashes: int


def draw(document: Mapping[str, Any], seed: int) -> Draw:
    """Draw a case. Raises CaseError when the template is malformed or a value cannot be computed."""
    content.check(document)
    options = content.choices(document)
    source = random.Random(seed)  # noqa: S311  a recorded seed is the point; nothing secret hangs on it
    best: Draw | None = None
    for _ in range(TRIES if any(len(values) > 1 for values in options.values()) else 1):
        values = {name: source.choice(among) for name, among in options.items()}
        found = with_values(document, values)
        if best is None or found.clashes < best.clashes:
            best = found
        if not best.clashes:
            break
    assert best is not None  # noqa: S101  TRIES is at least one
    return best


def with_values(document: Mapping[str, Any], values: Mapping[str, str]) -> Draw:
    """The case with these numbers; the document has been checked."""
    checks = [_key(document, index, check, values) for index, check in enumerate(document["checks"])]
    return Draw(
        values=dict(values),
        content={
            "title": document["title"],
            "order": content.fill(document["order"], document, values),
            "lines": lines(document, values),
            "values": dict(values),
        },
        answer_key={"calculators": calculators.VERSION, "checks": checks},
        clashes=sum(_clashes(key) for key in checks),
    )


def lines(document: Mapping[str, Any], values: Mapping[str, str]) -> list[dict[str, str]]:
    """What stands on the case card below the order: patient, drug, bag label, then what they do not say."""
    found = [
        {"label": label, "value": content.fill(document[name], document, values)}
        for name, label in (("patient", "Patient"), ("drug", "Drug"), ("label", "Label of the bag"))
        if document.get(name)
    ]
    told = {*content.slots(document["order"]), *content.slots(document.get("label") or "")}
    found += [
        {"label": LABELS.get(name, name.replace("_", " ").capitalize()), "value": value}
        for name, value in values.items()
        if name not in told
    ]
    return found


def _key(
    document: Mapping[str, Any], index: int, check: Mapping[str, Any], values: Mapping[str, str]
) -> dict[str, Any]:
    request = {
        "id": check["id"],
        "label": check["label"],
        "find": check["find"],
        "given": content.given(document, check, values),
        "rounding": check["rounding"],
        "also_accepted": check.get("also_accepted") or [],
        "tolerance": check.get("tolerance"),
    }
    try:
        return dict(calculators.answer_key(request))
    except calculators.CalculationError as error:
        field = f"fields.{error.field}" if error.field in values else f"checks.{index}.{error.field}".rstrip(".")
        raise CaseError(
            "cannot_compute", field, f"{check['label']} cannot be computed with these numbers: {error.message}"
        ) from error


def _clashes(key: Mapping[str, Any]) -> int:
    """How many slips look right, or how many of the most likely slips look like one another.

    Nobody states zero, so slips that round to it do not count. Slips stand in the key by likelihood; that two rare
    ones coincide says nothing, for any long list of them.
    """
    ranges = [(Fraction(one["low"]), Fraction(one["high"])) for one in key["accepted"]]
    values = [Fraction(slip["value"]) for slip in key["slips"] if slip["code"] not in NO_RECKONING]
    looks_right = sum(any(low <= value <= high for low, high in ranges) for value in values if value)
    likely = [value for value in values[:LIKELY] if value]
    return looks_right + len(likely) - len(set(likely))
