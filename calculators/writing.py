"""Numbers and quantities as they are printed: the safe-notation rules.

Leading zero, no trailing zero, commas from 1,000, a space before the unit. Sources: Joint Commission
"Do Not Use" list; ISMP list of error-prone abbreviations.
"""

from fractions import Fraction

SIGNIFICANT = 12
_FINE, _SHORT = 10**12, 10**6


def terminating(number: Fraction) -> int | None:
    """The count of decimals after which the number ends, or None when it never does."""
    rest, twos, fives = number.denominator, 0, 0
    while rest % 2 == 0:
        rest, twos = rest // 2, twos + 1
    while rest % 5 == 0:
        rest, fives = rest // 5, fives + 1
    return max(twos, fives) if rest == 1 else None


def _decimals(scaled: int, places: int, grouped: bool) -> str:
    sign, scaled = ("-", -scaled) if scaled < 0 else ("", scaled)
    whole, part = divmod(scaled, 10**places)
    tail = f"{part:0{places}d}".rstrip("0") if places and part else ""
    return (
        f"{sign}{whole:,}" + ("." + tail if tail else "")
        if grouped
        else f"{sign}{whole}" + ("." + tail if tail else "")
    )


def magnitude(number: Fraction) -> int:
    """The power of ten of the first significant digit: 0 for 1 to 9.99, -1 for 0.1; 0 for zero."""
    if not number:
        return 0
    top, bottom = abs(number.numerator), number.denominator
    guess = len(str(top)) - len(str(bottom))
    low_enough = top >= bottom * 10**guess if guess >= 0 else top * 10**-guess >= bottom
    return guess if low_enough else guess - 1


def decimal(number: Fraction, grouped: bool = False) -> str:
    """The exact decimal where there is one, else the nearest with 12 significant digits (half up)."""
    if _FINE % number.denominator == 0:
        return _decimals(number.numerator * (_FINE // number.denominator), 12, grouped)
    places = terminating(number)
    if places is None:
        places = max(0, SIGNIFICANT - 1 - magnitude(number))
        doubled = 2 * abs(number.numerator) * 10**places + number.denominator
        scaled = doubled // (2 * number.denominator)
        return _decimals(scaled if number >= 0 else -scaled, places, grouped)
    return _decimals(number.numerator * 10**places // number.denominator, places, grouped)


def shown(number: Fraction) -> str:
    """The number for a line of working: exact where short, otherwise cut with "…" (no one computes on from it)."""
    denominator = number.denominator
    if denominator == 1:
        return f"{number.numerator:,}"
    if _SHORT % denominator == 0:
        return _decimals(number.numerator * (_SHORT // denominator), 6, True)
    top = abs(number.numerator)
    places = 4 if top >= denominator else max(4, 3 - magnitude(number))
    if places > 6 and 10**places % denominator == 0:
        return _decimals(number.numerator * (10**places // denominator), places, True)
    whole, part = divmod(top * 10**places // denominator, 10**places)
    return f"{'-' if number < 0 else ''}{whole:,}.{part:0{places}d}…"


def with_unit(number: Fraction, unit: str) -> str:
    """A quantity for a line of working: "1,600 mcg/mL"."""
    return f"{shown(number)} {unit}"
