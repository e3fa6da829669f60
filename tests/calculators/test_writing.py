"""Numbers as they are printed. Rules: Joint Commission "Do Not Use" list; ISMP list of error-prone abbreviations."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators.writing import decimal, magnitude, shown, terminating, with_unit


@pytest.mark.parametrize(
    ("number", "plain", "grouped", "in_working"),
    [
        ("0", "0", "0", "0"),
        ("1/2", "0.5", "0.5", "0.5"),
        ("5", "5", "5", "5"),
        ("1000", "1000", "1,000", "1,000"),
        ("1234567.5", "1234567.5", "1,234,567.5", "1,234,567.5"),
        ("105/8", "13.125", "13.125", "13.125"),
        ("800/11", "72.7272727273", "72.7272727273", "72.7272…"),
        ("1/3", "0.333333333333", "0.333333333333", "0.3333…"),
        ("2/3", "0.666666666667", "0.666666666667", "0.6666…"),
        ("1/300", "0.00333333333333", "0.00333333333333", "0.003333…"),
        ("20000/3", "6666.66666667", "6,666.66666667", "6,666.6666…"),
        ("-5/2", "-2.5", "-2.5", "-2.5"),
        ("-1/3", "-0.333333333333", "-0.333333333333", "-0.3333…"),
        ("1/1048576", "0.00000095367431640625", "0.00000095367431640625", "0.0000009536…"),
        ("0.00000125", "0.00000125", "0.00000125", "0.00000125"),
        ("123456789012345", "123456789012345", "123,456,789,012,345", "123,456,789,012,345"),
    ],
)
def test_printed(number, plain, grouped, in_working):
    value = Fraction(number)
    assert (decimal(value), decimal(value, True), shown(value)) == (plain, grouped, in_working)


@settings(max_examples=300, deadline=None)
@given(st.fractions(max_denominator=5000))
def test_never_a_naked_point_or_a_trailing_zero_and_close_to_the_number(number):
    text = decimal(number)
    assert not text.lstrip("-").startswith(".")
    assert not ("." in text and text.endswith(("0", ".")))
    if terminating(number) is not None:
        assert Fraction(text) == number
    else:
        assert abs(Fraction(text) - number) <= abs(number) / 10**11


@settings(max_examples=300, deadline=None)
@given(st.fractions(min_value=Fraction(1, 10**9), max_value=10**9, max_denominator=10**9))
def test_magnitude_agrees_with_decimal(number):
    assert magnitude(number) == (Decimal(number.numerator) / Decimal(number.denominator)).adjusted()


def test_a_space_before_the_unit():
    assert with_unit(Fraction(1600), "mcg/mL") == "1,600 mcg/mL"
