"""Exact decimals."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from checkoffs.scoring.exact import cut_down, decimal, plain

decimals = st.decimals(-(10**9), 10**9, places=6)


@given(decimals, decimals)
def test_plain_text_says_the_value_and_comes_back(a: Decimal, b: Decimal) -> None:
    """Against the standard library's decimal arithmetic."""
    for value in (Fraction(a) + Fraction(b), Fraction(a) * Fraction(b)):
        assert Fraction(Decimal(plain(value))) == value
    assert decimal(f"{a:f}") == Fraction(a)


@pytest.mark.parametrize(
    "text", ["", ".5", "5.", "1e3", "Infinity", "NaN", " 1", "1 ", "--1", "1_000", "1/2", "٣", "1\n"]
)
def test_what_is_no_decimal_is_not_read(text: str) -> None:
    assert decimal(text) is None


def test_a_quotient_is_cut_down_never_rounded_up() -> None:
    assert cut_down(Fraction(200, 3)) == "66.66"
    assert cut_down(Fraction(79_996, 1000)) == "79.99"
    assert cut_down(Fraction(80)) == "80"


def test_what_has_no_finite_decimal_is_refused() -> None:
    with pytest.raises(ValueError, match="finite"):
        plain(Fraction(1, 3))
