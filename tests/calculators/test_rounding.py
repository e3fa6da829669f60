"""Rounding: once, at the end, by a named policy. Oracle: decimal.quantize of the standard library."""

from decimal import ROUND_DOWN, ROUND_HALF_EVEN, ROUND_HALF_UP, Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators.errors import CalculationError
from calculators.rounding import Policy, read_policy

ORACLE = {"half_up": ROUND_HALF_UP, "half_even": ROUND_HALF_EVEN, "down": ROUND_DOWN}


@settings(max_examples=400, deadline=None)
@given(st.decimals("-9999", "9999", places=4), st.integers(0, 4), st.sampled_from(sorted(ORACLE)))
def test_agrees_with_decimal(number, places, mode):
    expected = number.quantize(Decimal(1).scaleb(-places), rounding=ORACLE[mode])
    assert Policy(Fraction(1, 10**places), mode).apply(Fraction(str(number))) == Fraction(str(expected))


@pytest.mark.parametrize(
    ("number", "half_up", "half_even", "down"),
    [("2.5", 3, 2, 2), ("3.5", 4, 4, 3), ("-2.5", -3, -2, -2), ("2.4999", 2, 2, 2), ("2.51", 3, 3, 2)],
)
def test_ties(number, half_up, half_even, down):
    found = [Policy(Fraction(1), mode).apply(Fraction(number)) for mode in ("half_up", "half_even", "down")]
    assert found == [half_up, half_even, down]


def test_a_pumps_increment():
    assert read_policy({"step": "0.5"}).apply(Fraction("13.125")) == Fraction(13)
    assert read_policy({"step": "0.5"}).apply(Fraction("13.25")) == Fraction("13.5")
    assert read_policy({"step": 5, "mode": "down"}).apply(Fraction(1249, 10)) == 120
    assert read_policy({"step": "0.5", "places": 1}).step == Fraction(1, 2)


@pytest.mark.parametrize(
    ("written", "short", "words"),
    [
        ({"places": 0}, "to a whole number", "to a whole number, half up"),
        ({"places": 1}, "to a tenth", "to a tenth, half up"),
        ({"places": "2", "mode": "half_even"}, "to a hundredth, ties to even", "to a hundredth, ties to even"),
        ({"places": 3, "mode": "down"}, "down to a thousandth", "to a thousandth, cut"),
        ({"step": "0.5"}, "to steps of 0.5", "to steps of 0.5, half up"),
    ],
)
def test_a_policy_says_itself_in_words(written, short, words):
    policy = read_policy(written)
    assert (policy.short, policy.words) == (short, words)


@pytest.mark.parametrize(
    ("written", "code"),
    [
        (None, "unknown_value"),
        ("1", "unknown_value"),
        ({}, "not_a_number"),
        ({"places": True}, "not_a_number"),
        ({"places": "1.5"}, "not_a_number"),
        ({"places": -1}, "out_of_range"),
        ({"places": 13}, "out_of_range"),
        ({"places": 1, "mode": "up"}, "unknown_value"),
        ({"places": 1, "mode": []}, "unknown_value"),
        ({"places": 1, "grain": 2}, "unknown_field"),
        ({"step": "0"}, "out_of_range"),
        ({"step": "-1"}, "out_of_range"),
        ({"step": "half"}, "not_a_number"),
        ({"step": "0.25", "places": 1}, "conflict"),
    ],
)
def test_refused(written, code):
    with pytest.raises(CalculationError) as refused:
        read_policy(written)
    assert (refused.value.code, refused.value.field) == (code, "rounding")
