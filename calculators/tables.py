"""Titration tables: each dose of a range with its rate, from the exact concentration, never a rounded one."""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from calculators.errors import CalculationError
from calculators.given import Given
from calculators.rounding import Policy, read_policy
from calculators.solving import run_through
from calculators.units import factor
from calculators.writing import decimal

MOST_ROWS = 200


@dataclass(frozen=True, slots=True)
class Row:
    """One dose and its rate: `rate` as rounded, `exact` as a fraction; `cautions` of this row alone."""

    dose: str
    rate: str
    exact: Fraction
    cautions: tuple[str, ...]


def titration(first: str, last: str, by: str, given: Mapping[str, Any], rounding: Mapping[str, Any]) -> list[Row]:
    """The rows from `first` to `last` in steps of `by` (texts such as "2 mcg/kg/min"). Raises CalculationError."""
    policy = read_policy(rounding)
    start, end, step = (Given({"dose": text}).need("dose", "a dose of the table") for text in (first, last, by))
    if not start.unit.kinds == end.unit.kinds == step.unit.kinds:
        raise CalculationError(
            "wrong_dimension",
            "dose",
            f"read {start.text}, {end.text}, {step.text}; accepted are three doses of one kind",
        )
    dose = start.number
    top = end.number * factor(end.unit, start.unit)
    grain = step.number * factor(step.unit, start.unit)
    if (top - dose) / grain >= MOST_ROWS:
        raise CalculationError("out_of_range", "dose", f"more than {MOST_ROWS} rows; accepted is a larger step")
    rows = []
    while dose <= top:
        rows.append(_row(f"{decimal(dose)} {start.unit.text}", given, policy))
        dose += grain
    if not rows:
        raise CalculationError("out_of_range", "dose", f"{first} is above {last}; accepted is a rising range")
    return rows


def _row(dose: str, given: Mapping[str, Any], policy: Policy) -> Row:
    solved = run_through("rate", Given({**given, "dose": dose}), policy=policy)
    shown = f"{decimal(policy.apply(solved.number), True)} {solved.unit.text}"
    return Row(dose, shown, solved.number, solved.cautions)
