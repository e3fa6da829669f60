"""One run through a calculation, right and with a named slip; both leave their working."""

from __future__ import annotations

from fractions import Fraction

import pytest

from calculators.errors import CalculationError
from calculators.given import Given
from calculators.solving import FINDS, run_through

POUNDS = {"dose": "5 mcg/kg/min", "weight": "154 lb", "concentration": "1600 mcg/mL"}


def test_a_slip_changes_the_number_and_its_working() -> None:
    """154 lb ÷ 2.2 = 70 kg gives 13.125 mL/h; 154 taken as kilograms gives 28.875 mL/h (worked by hand)."""
    right = run_through("rate", Given(POUNDS))
    wrong = run_through("rate", Given(POUNDS), frozenset({"pounds_as_kilograms"}))
    assert (right.number, wrong.number) == (Fraction(105, 8), Fraction(231, 8))
    assert right.lines != wrong.lines
    assert "pounds_as_kilograms" in right.offered


def test_what_cannot_be_found_is_refused_with_what_can() -> None:
    with pytest.raises(CalculationError) as refused:
        run_through("dosage", Given(POUNDS))
    assert refused.value.code == "unknown_find"
    assert all(find in refused.value.message for find in FINDS)
