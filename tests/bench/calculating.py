"""A run of the command line against a bare loop of the same pint arithmetic with prepared units."""

from __future__ import annotations

import io
from collections.abc import Iterator
from fractions import Fraction

from calculators.commandline import main
from calculators.units import REGISTRY
from tests.bench.measure import Pair, side_by_side

COUNT = 3000
REQUEST = (
    '{{"id": {0}, "find": "rate", "given": {{"dose": "{1} mcg/kg/min", "weight": "{2} kg", "drug_amount": "800 mg",'
    ' "volume": "500 mL"}}, "rounding": {{"places": 1}}}}\n'
)


def run() -> Iterator[Pair]:
    """Requests for a rate, each with its working, rounding and JSON; the floor does the arithmetic alone."""
    text = "".join(REQUEST.format(i, 2 + i % 19, 40 + i % 80) for i in range(COUNT)).encode()
    yield side_by_side(
        f"{COUNT} rate requests on the command line",
        lambda: main([], io.BytesIO(text), io.BytesIO()),
        _bare,
        rounds=5,
        target="≤ 1",
    )


def _bare() -> None:
    quantity, unit = REGISTRY.Quantity, REGISTRY.Unit
    dose, weight, amount, volume, rate = map(unit, ("mcg/kg/min", "kg", "mg", "mL", "mL/h"))
    for i in range(COUNT):
        bag = quantity(Fraction(800), amount) / quantity(Fraction(500), volume)
        (quantity(Fraction(2 + i % 19), dose) * quantity(Fraction(40 + i % 80), weight) / bag).to(rate)
