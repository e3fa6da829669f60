"""Answer keys: what a case expects and accepts, and what each slip would give; frozen when the case is drawn."""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from calculators.errors import CalculationError, quoted
from calculators.given import Given
from calculators.limits import GENERAL
from calculators.reading import number_text, read_number
from calculators.rounding import Policy, read_policy
from calculators.slips import Slip, candidates
from calculators.solving import Solved, run_through
from calculators.working import Line
from calculators.writing import decimal

CHOICES = {
    "rate": ("mL/h", "mL/min", "gtt/min", "mL", "units/h"),
    "vtbi": ("mL", "L", "mL/h", "h"),
    "duration": ("h", "min", "mL/h", "mL"),
    "drop_rate": ("gtt/min", "mL/h", "mL/min", "gtt/mL"),
    "dose_rate": ("mcg/kg/min", "mcg/min", "mg/h", "units/h", "mL/h"),
    "concentration": ("mg/mL", "mcg/mL", "units/mL", "mEq/mL", "mL"),
    "dose_volume": ("mL", "mL/h", "mg", "mcg"),
    "convert": ("kg", "lb", "mg", "mcg", "mL"),
}


@dataclass(frozen=True, slots=True)
class Accepted:
    """A range of numbers and the verdict it earns, with the reason in words."""

    low: Fraction
    high: Fraction
    verdict: str
    why: str

    def as_dict(self) -> dict[str, str]:
        return {"low": decimal(self.low), "high": decimal(self.high), "verdict": self.verdict, "why": self.why}


def answer_key(check: Mapping[str, Any]) -> dict[str, Any]:
    """The key of one check of a case. Raises CalculationError.

    `check`: {"id", "label", "find", "given", "rounding", "also_accepted": [rounding],
    "tolerance": {"plus", "minus"} | {"low", "high"} | {"last_place"} | None}. `rounding` is the one asked for; the
    tolerance is taken from the rounded answer. Returned are texts and lists only: numbers as decimals, `exact` as a
    fraction.
    """
    find = str(check.get("find"))
    policies = policies_of(check)
    given = Given(check.get("given"))
    right = run_through(find, given, policy=policies[0])
    expected = policies[0].apply(right.number)
    accepted = accepted_of(right, policies, check.get("tolerance"))
    listed = tuple(policy.apply(right.number) for policy in policies)
    slips = [s for s in candidates(find, given, right, policies[0], listed) if not _covered(s, accepted)]
    return {
        "id": check.get("id", find),
        "label": check.get("label", find),
        "find": find,
        "unit": right.unit.text,
        "units": list(dict.fromkeys((right.unit.text, *CHOICES[find]))),
        "exact": str(right.number),
        "expected": decimal(expected),
        "text": f"{decimal(expected, True)} {right.unit.text}",
        "accepted": [a.as_dict() for a in accepted],
        "slips": [_slip(s, policies) for s in slips],
        "working": shape(right.lines),
        "cautions": [*right.cautions, GENERAL],
    }


def policies_of(check: Mapping[str, Any]) -> list[Policy]:
    """The roundings of a check, the one asked for first."""
    first = check.get("rounding")
    also = check.get("also_accepted") or ()
    if not isinstance(also, list | tuple):
        raise CalculationError(
            "unknown_value", "also_accepted", f"read {quoted(also)}; accepted is a list of roundings"
        )
    return [read_policy(first), *(read_policy(one, "also_accepted") for one in also)]


def shape(lines: tuple[Line, ...]) -> list[dict[str, str]]:
    """Lines of working as a page shows them."""
    return [{"text": text, "gives": gives} for text, gives in lines]


def _slip(slip: Slip, policies: list[Policy]) -> dict[str, Any]:
    values = [policy.apply(slip.exact) for policy in policies]
    return {
        "code": slip.code,
        "text": slip.text,
        "value": decimal(slip.rounded),
        "exact": str(slip.exact),
        "low": decimal(min(values)),
        "high": decimal(max(values)),
        "working": shape(slip.lines),
    }


def _covered(slip: Slip, accepted: list[Accepted]) -> bool:
    return any(a.low <= slip.rounded <= a.high for a in accepted)


def accepted_of(right: Solved, policies: list[Policy], tolerance: object) -> list[Accepted]:
    """The accepted ranges, in the order in which a stated number is held against them."""
    expected = policies[0].apply(right.number)
    found = [Accepted(expected, expected, "right", policies[0].words)]
    if tolerance is not None:
        found.append(_tolerance(expected, policies[0], right.number, tolerance))
    for policy in policies[1:]:
        value = policy.apply(right.number)
        if all(value != a.low or a.low != a.high for a in found):
            found.append(Accepted(value, value, "right_other_rounding", policy.words))
    return found


def _tolerance(expected: Fraction, policy: Policy, exact: Fraction, written: object) -> Accepted:
    if not isinstance(written, Mapping) or not set(written) <= {"plus", "minus", "low", "high", "last_place"}:
        raise CalculationError(
            "unknown_value", "tolerance", f"read {quoted(written)}; accepted are plus and minus, or low and high"
        )
    if "last_place" in written:
        # One unit in the last place, and never more than 5 % of the exact value.
        by = min(policy.step, abs(exact) / 20)
        by = policy.step if by == policy.step else Fraction(0)
        return Accepted(expected - by, expected + by, "right", "within one unit in the last place")
    if "low" in written or "high" in written:
        low, high = (_bound(written.get(name), name, expected) for name in ("low", "high"))
    else:
        low = expected - _bound(written.get("minus", "0"), "minus", expected)
        high = expected + _bound(written.get("plus", "0"), "plus", expected)
    if low > high:
        raise CalculationError("out_of_range", "tolerance", "low is above high; accepted is low up to high")
    return Accepted(low, high, "right", f"within the tolerance, {decimal(low, True)} to {decimal(high, True)}")


def _bound(written: object, name: str, expected: Fraction) -> Fraction:
    if written is None:
        raise CalculationError("missing", "tolerance", f"read no {name}; accepted are low and high together")
    text = number_text(written, "tolerance").strip()
    if name in ("plus", "minus") and text.endswith("%"):
        return expected * read_number(text[:-1], "tolerance").number / 100
    return read_number(text, "tolerance").number
