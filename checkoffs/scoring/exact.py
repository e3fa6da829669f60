"""Exact decimals: strings in, Fractions inside, strings out. Never a float."""

from __future__ import annotations

import re
from fractions import Fraction

DECIMAL = re.compile(r"-?[0-9]{1,15}(\.[0-9]{1,12})?")


def decimal(text: str) -> Fraction | None:
    """The value of a plain decimal string ("13.1", "-2"), None when it is not one."""
    return Fraction(text) if DECIMAL.fullmatch(text) else None


def plain(value: Fraction) -> str:
    """The shortest decimal string of a value that has one (sums and products of decimals do)."""
    for places in range(40):
        scaled = value * 10**places
        if scaled.denominator == 1:
            return _placed(scaled.numerator, places)
    raise ValueError("no finite decimal")


def cut_down(value: Fraction, places: int = 2) -> str:
    """A non-negative value with at most ``places`` decimals, the rest cut off.

    Cut, not rounded: 79.996 % must not be shown as the 80 % it did not reach.
    """
    return plain(Fraction(value * 10**places // 1, 10**places))


def _placed(digits: int, places: int) -> str:
    sign, text = ("-" if digits < 0 else ""), str(abs(digits)).zfill(places + 1)
    return sign + (f"{text[:-places]}.{text[-places:]}" if places else text)
