"""Is a stated number right, and if not, which slips explain it and how well."""

from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import Any

from calculators.errors import CalculationError
from calculators.reading import Number, read_number, read_unit, tidy
from calculators.rounding import Policy
from calculators.slips import KNOWN, SCALING
from calculators.writing import decimal

MOST_SLIPS = 5
_EXACT, _OTHER_GRAIN, _CUT = Fraction(1), Fraction(9, 10), Fraction(8, 10)
_SUM, _SUM_OTHER_GRAIN = Fraction(7, 10), Fraction(6, 10)
_NEAR = Fraction(1, 100)


def verify(key: Mapping[str, Any], number: str, unit: str | None) -> dict[str, Any]:
    """The verdict on a stated number and unit by an answer key, never raising.

    {"code", "number": "right|right_other_rounding|wrong|unreadable", "why", "notation": [text],
    "slips": [{"code", "text", "value", "fit", "either"}]}. A wrong number without a unit is `wrong`, a right one
    `missing_unit`; any other unit is `wrong_unit`.
    """
    try:
        read = read_number(number, "said")
    except CalculationError as error:
        return _verdict("unreadable", "unreadable", error.message, [], [])
    said_unit, faults, known = _unit(unit)
    faults = [*read.faults, *faults]
    found, why = _held_against(key, read.number)
    slips = [] if found != "wrong" else explain(key, read)
    if unit is None or not tidy(unit):
        code = "wrong" if found == "wrong" else "missing_unit"
        return _verdict(code, found, why if code == "wrong" else "no unit said", faults, slips)
    if said_unit != key["unit"]:
        read_as = said_unit if known else "no known unit"
        return _verdict("wrong_unit", found, f"read {read_as}, asked for {key['unit']}", faults, slips)
    return _verdict(found, found, why, faults, slips)


def _verdict(code: str, number: str, why: str, faults: list[str], slips: list[dict[str, Any]]) -> dict[str, Any]:
    return {"code": code, "number": number, "why": why, "notation": faults, "slips": slips}


def _unit(text: str | None) -> tuple[str, list[str], bool]:
    if text is None or not tidy(text):
        return "", [], False
    try:
        read, divisor, faults = read_unit(text, "said")
    except CalculationError:
        return "", [], False
    return (read.text if divisor == 1 else f"{read.text} by {decimal(divisor)}"), list(faults), True


def _held_against(key: Mapping[str, Any], number: Fraction) -> tuple[str, str]:
    for accepted in key["accepted"]:
        if Fraction(accepted["low"]) <= number <= Fraction(accepted["high"]):
            return accepted["verdict"], accepted["why"]
    return "wrong", "matches no accepted value"


def explain(key: Mapping[str, Any], said: Number) -> list[dict[str, Any]]:
    """The slips that fit what was said, best first; `either` names those that fit equally well by the same number."""
    grain = Policy(Fraction(1, 10**said.decimals))
    ranked: list[tuple[Fraction, int, dict[str, Any]]] = []
    for place, slip in enumerate(key["slips"]):
        fit = _fit(slip, said.number, grain)
        if fit:
            ranked.append((fit, place, _entry(slip["code"], slip["text"], slip["value"], fit)))
    if not any(fit >= _CUT for fit, _, _ in ranked):
        ranked += _sums(key, said.number, grain, len(ranked))
    ranked.sort(key=lambda row: (-row[0], row[1]))
    best = [row[2] for row in ranked[:MOST_SLIPS]]
    for entry in best:
        entry["either"] = [o["code"] for o in best if o is not entry and o["fit"] == entry["fit"]]
    return best


def _entry(code: str, text: str, value: str, fit: Fraction) -> dict[str, Any]:
    return {"code": code, "text": text, "value": value, "fit": decimal(fit)}


def _fit(slip: Mapping[str, Any], said: Fraction, grain: Policy) -> Fraction:
    """1: the slip's value rounded as asked; 0.9: half up to what was said; 0.8: cut to it; less the further away."""
    exact = Fraction(slip["exact"])
    if Fraction(slip["low"]) <= said <= Fraction(slip["high"]):
        return _EXACT
    if grain.apply(exact) == said and said:
        return _OTHER_GRAIN
    if said and abs(said - exact) < grain.step and abs(said - exact) * 10 <= exact:
        return _CUT
    return _near(exact, said)


def _near(exact: Fraction, said: Fraction) -> Fraction:
    """Within 1 % of the slip: from 0.5 down to 0, so that it never outranks a value that rounds right."""
    if not exact:
        return Fraction(0)
    off = abs(said - exact) / abs(exact)
    return Fraction(0) if off >= _NEAR else Policy(Fraction(1, 100)).apply((1 - off / _NEAR) / 2)


def _sums(
    key: Mapping[str, Any], said: Fraction, grain: Policy, place: int
) -> Iterator[tuple[Fraction, int, dict[str, Any]]]:
    """Two slips in one calculation: their ratios multiply, which is exact for slips that scale the answer."""
    right = Fraction(key["exact"])
    places = max((len(str(key["expected"]).partition(".")[2]), *_decimals(key)))
    asked = Policy(Fraction(1, 10**places))
    scaling = [s for s in key["slips"] if KNOWN[s["code"]][1] in SCALING] if right else []
    for index, one in enumerate(scaling):
        for other in scaling[index + 1 :]:
            if KNOWN[one["code"]][1] == KNOWN[other["code"]][1]:
                continue
            both = Fraction(one["exact"]) * Fraction(other["exact"]) / right
            fit = (
                _SUM
                if asked.apply(both) == said
                else _SUM_OTHER_GRAIN
                if grain.apply(both) == said and said
                else Fraction(0)
            )
            if fit:
                text = f"{one['text']}, and {other['text'][0].lower()}{other['text'][1:]}"
                place += 1
                yield fit, place, _entry(f"{one['code']}+{other['code']}", text, decimal(asked.apply(both)), fit)


def _decimals(key: Mapping[str, Any]) -> list[int]:
    return [
        len(str(slip["value"]).partition(".")[2])
        for slip in key["slips"]
        if slip["code"] not in ("rounded_otherwise",)
    ]
