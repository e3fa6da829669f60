"""Drawing numbers for a case: numbers people meet and pumps can take, under which each slip shows by its number."""

import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import product
from typing import Any

from calculators.errors import CalculationError, quoted
from calculators.keys import answer_key
from calculators.slips import KNOWN

MOST_TRIES = 60
# Numbers people meet: bags, sets and weights as common practice has them; no drug is meant.
WEIGHTS = (
    "48 kg",
    "52 kg",
    "64 kg",
    "71 kg",
    "77 kg",
    "83 kg",
    "86 kg",
    "92 kg",
    "121 lb",
    "154 lb",
    "187 lb",
    "209 lb",
)
_TENTH, _WHOLE = {"places": 1}, {"places": 0}
PROBLEMS: dict[str, dict[str, Any]] = {
    "weight_based": {
        "find": "rate",
        "rounding": _TENTH,
        "fields": {
            "dose": ["3 mcg/kg/min", "4 mcg/kg/min", "5 mcg/kg/min", "7 mcg/kg/min", "8 mcg/kg/min", "12 mcg/kg/min"],
            "weight": list(WEIGHTS),
            "drug_amount": ["200 mg", "400 mg", "500 mg", "800 mg"],
            "volume": ["250 mL", "500 mL"],
        },
    },
    "units_per_hour": {
        "find": "rate",
        "rounding": _TENTH,
        "fields": {
            "dose": ["700 units/h", "850 units/h", "950 units/h", "1,150 units/h", "1,300 units/h", "1,450 units/h"],
            "drug_amount": ["20,000 units", "25,000 units"],
            "volume": ["250 mL", "500 mL"],
        },
    },
    "volume_over_time": {
        "find": "rate",
        "rounding": _TENTH,
        "fields": {
            "volume": ["50 mL", "100 mL", "150 mL", "250 mL"],
            "time": ["20 min", "30 min", "40 min", "45 min", "90 min"],
        },
    },
    "gravity": {
        "find": "drop_rate",
        "rounding": _WHOLE,
        "fields": {
            "volume": ["500 mL", "750 mL", "1,000 mL"],
            "time": ["4 h", "5 h", "6 h", "7 h", "8 h", "10 h"],
            "drop_factor": ["15 gtt/mL", "20 gtt/mL"],
        },
    },
    "reserve": {
        "find": "vtbi",
        "rounding": _WHOLE,
        "fields": {
            "volume": ["250 mL", "500 mL", "1,000 mL"],
            "reserve": ["15 mL", "20 mL", "25 mL", "30 mL", "50 mL"],
        },
    },
    "how_long": {
        "find": "duration",
        "rounding": _TENTH,
        "fields": {
            "volume": ["250 mL", "500 mL", "1,000 mL"],
            "rate": ["42 mL/h", "63 mL/h", "75 mL/h", "83 mL/h", "125 mL/h", "167 mL/h"],
        },
    },
    "dose_from_rate": {
        "find": "dose_rate",
        "rounding": _TENTH,
        "fields": {
            "rate": ["7 mL/h", "9 mL/h", "12 mL/h", "16 mL/h", "21 mL/h"],
            "weight": list(WEIGHTS),
            "drug_amount": ["200 mg", "400 mg", "800 mg"],
            "volume": ["250 mL", "500 mL"],
            "to": "mcg/kg/min",
        },
    },
}


@dataclass(frozen=True, slots=True)
class Drawn:
    """`given` are the numbers, `keys` the checks' answer keys, `clashes` pairs of slips one number could mean."""

    given: dict[str, str]
    keys: tuple[dict[str, Any], ...]
    clashes: tuple[tuple[str, str], ...]
    troubles: tuple[str, ...]


def draw(
    fields: Mapping[str, str | Sequence[str]], checks: Sequence[Mapping[str, Any]], source: random.Random
) -> Drawn:
    """Choose a value for each field so that the slips of all checks stay apart and no limit is exceeded.

    `fields`: name → a fixed text or the texts to choose from. `checks`: as for `answer_key`, without `given`. The
    first set of numbers without clash or trouble is taken; if there is none, the best one met, which says what is
    left. Raises CalculationError if the numbers cannot be computed.
    """
    best: Drawn | None = None
    for given in _choices(fields, source):
        drawn = _with(given, checks)
        if best is None or (len(drawn.troubles), len(drawn.clashes)) < (len(best.troubles), len(best.clashes)):
            best = drawn
        if not best.troubles and not best.clashes:
            break
    if best is None:
        raise CalculationError("missing", "fields", "read a field without values; accepted is at least one for each")
    return best


def problem(kind: str, source: random.Random) -> Drawn:
    """One everyday practice problem of a kind of PROBLEMS, with invented numbers."""
    if kind not in PROBLEMS:
        raise CalculationError("unknown_value", "kind", f"read {quoted(kind)}; accepted are {', '.join(PROBLEMS)}")
    of = PROBLEMS[kind]
    check = {"id": of["find"], "label": of["find"].replace("_", " "), "find": of["find"], "rounding": of["rounding"]}
    return draw(of["fields"], [check], source)


def _choices(fields: Mapping[str, str | Sequence[str]], source: random.Random) -> list[dict[str, str]]:
    """Sets of numbers in a drawn order: all of them if they are few, else as many as are worth trying."""
    names = list(fields)
    options = [[value] if isinstance(value, str) else list(value) for value in fields.values()]
    count = 1
    for values in options:
        count *= len(values)
    if count <= MOST_TRIES:
        every = [dict(zip(names, values, strict=True)) for values in product(*options)]
        source.shuffle(every)
        return every
    return [dict(zip(names, map(source.choice, options), strict=True)) for _ in range(MOST_TRIES)]


def _with(given: dict[str, str], checks: Sequence[Mapping[str, Any]]) -> Drawn:
    keys = tuple(answer_key({**check, "given": given}) for check in checks)
    troubles = [c for key in keys for c in key["cautions"] if c.startswith(("limit", "implausible", "unusual"))]
    nothing = [f"{key['label']} rounds to nothing" for key in keys if not Fraction(key["expected"])]
    return Drawn(given, keys, tuple(pair for key in keys for pair in clashes(key)), tuple(troubles + nothing))


def clashes(key: Mapping[str, Any]) -> list[tuple[str, str]]:
    """Pairs of slips that one stated number could mean; "right" stands for an accepted answer.

    Slips that round to nothing are left out, since nobody states 0; so are swapped digits and other roundings, which
    are no way of reckoning.
    """
    shown = [
        (slip["code"], Fraction(slip["value"]))
        for slip in key["slips"]
        if KNOWN[slip["code"]][1] != "digits" and Fraction(slip["value"])
    ]
    pairs = [
        (one, other) for i, (one, value) in enumerate(shown) for other, second in shown[i + 1 :] if value == second
    ]
    for code, value in shown:
        if any(Fraction(a["low"]) <= value <= Fraction(a["high"]) for a in key["accepted"]):
            pairs.append(("right", code))
    return pairs
