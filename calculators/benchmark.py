"""How well a stated number leads back to the slip that made it: drawn cases × each slip × usual roundings."""

import random
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from calculators.drawing import PROBLEMS, problem
from calculators.rounding import MODES, Policy
from calculators.slips import KNOWN
from calculators.verdicts import verify
from calculators.writing import decimal

USUAL = [Policy(Fraction(1, 10**places), mode) for places in (0, 1, 2) for mode in MODES]
SEED = 20261014


@dataclass(slots=True)
class Benchmark:
    """How many were asked, named (or tied) first, among the first three; and which slip was taken for which."""

    asked: int = 0
    first: int = 0
    among: int = 0
    right_called_slip: int = 0
    confused: Counter[tuple[str, str]] = field(default_factory=Counter)


def measure(cases: int, seed: int = SEED) -> Benchmark:
    """Run the benchmark. A number counts if it has two figures or more and is not right by chance."""
    found = Benchmark()
    for number, key in enumerate(_keys(cases, seed)):
        found.right_called_slip += bool(verify(key, key["expected"], key["unit"])["slips"])
        for slip in key["slips"]:
            said = USUAL[number % len(USUAL)].apply(Fraction(slip["exact"]))
            if KNOWN[slip["code"]][1] == "digits" or said < 10 * USUAL[number % len(USUAL)].step:
                continue
            verdict = verify(key, decimal(said), key["unit"])
            if verdict["code"] == "wrong":
                _count(found, slip["code"], verdict["slips"])
    return found


def _keys(cases: int, seed: int) -> Iterator[dict[str, Any]]:
    source = random.Random(seed)  # noqa: S311  a benchmark that must repeat itself
    kinds = list(PROBLEMS)
    for number in range(cases):
        yield from problem(kinds[number % len(kinds)], source).keys


def _count(found: Benchmark, code: str, named: list[dict[str, Any]]) -> None:
    found.asked += 1
    top = [one["code"] for one in named if one["fit"] == named[0]["fit"]]
    found.first += code in top
    found.among += code in top or code in [one["code"] for one in named[:3]]
    if code not in top:
        found.confused[code, top[0] if top else "nothing"] += 1


def printed(found: Benchmark) -> str:
    """The result as a person reads it."""
    lines = [
        f"{found.asked:,} stated numbers; the slip that made each is",
        f"  first or tied first   {_percent(found.first, found.asked)} %",
        f"  among the first three {_percent(found.among, found.asked)} %",
        f"right answers called a slip: {found.right_called_slip}",
        "",
        f"  {'made':<30} {'named first':<46} times",
    ]
    lines += [f"  {made:<30} {named:<46} {count:>5}" for (made, named), count in found.confused.most_common()]
    return "\n".join(lines) + "\n"


def _percent(part: int, whole: int) -> str:
    return decimal(Policy(Fraction(1, 100), "down").apply(Fraction(100 * part, max(whole, 1))))
