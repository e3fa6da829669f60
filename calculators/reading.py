"""The grammar for what people write: a number, a unit, a unit under it.

Nothing a person typed reaches pint or a float. What is read strictly is exact; what is badly written but clear is
read with its notation faults beside it; what could be meant two ways is refused with a question.
Sources of the faults: Joint Commission "Do Not Use" list; ISMP list of error-prone abbreviations.
"""

import re
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache

from calculators.errors import CalculationError, quoted
from calculators.units import ATOMS, Atom, Unit, atom_named
from calculators.units import unit as unit_of
from calculators.writing import with_unit

LONGEST = 80
MOST_DIGITS = 15
MOST_DECIMALS = 12
_NUMBER = re.compile(r"([-−+]?)((?:[0-9]{1,3}(?:,[0-9]{3})+|[0-9]+)(?:\.[0-9]+)?|\.[0-9]+)(?![0-9.,])")
_COMMA = re.compile(r"[-−+]?[0-9]+(,[0-9]*)+")
_ATOM = re.compile(r"(?:([0-9][0-9.,]*)\s*)?([A-Za-zµμ]+(?: units?)?)(\.?)")
_SPACES = re.compile(r"[ \t\u00a0\u202f\u2009]+")
_FAULTY_UNITS = {
    "U": "U: write units in full",
    "u": "u: write units in full",
    "IU": "IU: write units in full",
    "iu": "IU: write units in full",
    "mU": "mU: write milliunits in full",
    "cc": "cc: write mL",
    "ccs": "cc: write mL",
    "µg": "µg: write mcg",
    "μg": "µg: write mcg",
    "ug": "ug: write mcg",
}


@dataclass(frozen=True, slots=True)
class Number:
    """A number as read; `faults` are sentences about its notation; `decimals` as many as were written."""

    number: Fraction
    faults: tuple[str, ...] = ()
    decimals: int = 0


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number with its unit. `text` is what was written, `plain` the same as it is printed in working."""

    number: Fraction
    unit: Unit
    faults: tuple[str, ...]
    text: str
    decimals: int
    plain: str


def tidy(text: str) -> str:
    """The text without outer spaces, every kind and run of spaces as one."""
    return _SPACES.sub(" ", text).strip(" ")


def _refuse_long(text: str, field: str) -> None:
    if len(text) > LONGEST:
        raise CalculationError(
            "out_of_range", field, f"read {len(text)} characters; accepted are at most {LONGEST}, such as “12.5 mL/h”"
        )


def _start_of_number(text: str, field: str) -> "re.Match[str]":
    match = _NUMBER.match(text)
    if match is None:
        if comma := _COMMA.match(text):
            raise CalculationError(
                "not_a_number",
                field,
                f"read {quoted(text)}: a comma only groups thousands (1,400), so is {quoted(comma.group())}"
                " meant with a decimal point? Accepted is 1.4 or 1,400",
            )
        raise CalculationError(
            "not_a_number", field, f"read {quoted(text)}; accepted is a number such as 12.5, 0.5 or 1,000"
        )
    if len(match.group(2)) > MOST_DIGITS + MOST_DECIMALS:
        raise CalculationError("out_of_range", field, f"read {quoted(text)}: too many digits")
    return match


def _number(match: "re.Match[str]", field: str) -> Number:
    sign, digits = match.group(1), match.group(2)
    if sign == "+":
        raise CalculationError("not_a_number", field, f"read {quoted(match.group())}; accepted is a number without +")
    whole, _, part = digits.replace(",", "").partition(".")
    if len(whole) > MOST_DIGITS or len(part) > MOST_DECIMALS:
        raise CalculationError(
            "out_of_range",
            field,
            f"read {quoted(digits)}; accepted are at most {MOST_DIGITS} digits and {MOST_DECIMALS} decimals",
        )
    faults = []
    if not whole:
        faults.append(f"naked decimal: write 0{digits}, not {digits}")
    if part.endswith("0"):
        better = f"{whole or '0'}.{part}".rstrip("0").rstrip(".")
        faults.append(f"trailing zero: write {better}, not {digits}")
    if len(whole) > 1 and whole.startswith("0"):
        faults.append(f"leading zeros: write {whole.lstrip('0') or '0'}, not {digits}")
    value = Fraction(int((whole or "0") + part), 10 ** len(part))
    return Number(-value if sign else value, tuple(faults), len(part))


@lru_cache(maxsize=8192)
def read_number(text: str, field: str) -> Number:
    """A bare number such as "13.1". Raises not_a_number, out_of_range."""
    _refuse_long(text, field)
    tidied = tidy(text)
    match = _start_of_number(tidied, field)
    if match.end() != len(tidied):
        raise CalculationError(
            "not_a_number", field, f"read {quoted(text)}; accepted is a number alone, such as 12.5, 0.5 or 1,000"
        )
    return _number(match, field)


@lru_cache(maxsize=8192)
def read_unit(text: str, field: str) -> tuple[Unit, Fraction, tuple[str, ...]]:
    """The unit in "mcg/kg/min" or "mg/500 mL": the unit, the number it divides by, faults of notation."""
    _refuse_long(text, field)
    atoms: list[Atom] = []
    divisor = Fraction(1)
    faults: list[str] = []
    for place, part in enumerate(re.split(r" ?/ ?| per ", tidy(text))):
        match = _ATOM.fullmatch(part)
        atom = _atom_of(match) if match else None
        if match is None or atom is None or (match.group(1) and place == 0):
            raise CalculationError(
                "unknown_unit",
                field,
                f"read {quoted(part or text)}; accepted are units such as mL/h, mcg/kg/min, units/h, mEq, gtt/min",
            )
        if match.group(1):
            number = read_number(match.group(1), field)
            if number.number <= 0:
                raise CalculationError("out_of_range", field, f"read {quoted(text)}: divided by nothing")
            divisor *= number.number
            faults += number.faults
        faults += _faults_of(match)
        atoms.append(atom)
    return _composed(atoms, text, field), divisor, tuple(faults)


def _composed(atoms: list[Atom], text: str, field: str) -> Unit:
    try:
        return unit_of(atoms[0], tuple(atoms[1:]))
    except CalculationError as error:
        raise CalculationError(error.code, field, f"read {quoted(text)}: {error.message}") from None


def _atom_of(match: "re.Match[str]") -> Atom | None:
    name = match.group(2)
    if name.lower() in ("million units", "million unit"):
        return ATOMS["million_units"]
    return atom_named(name)


def _faults_of(match: "re.Match[str]") -> list[str]:
    found = [_FAULTY_UNITS[match.group(2)]] if match.group(2) in _FAULTY_UNITS else []
    if match.group(3):
        found.append(f"full stop: write {match.group(2)} without a full stop")
    return found


@lru_cache(maxsize=16384)
def read_quantity(text: str, field: str, example: str) -> Quantity:
    """A number and its unit such as "5 mcg/kg/min" or "900 mg/500 mL".

    Raises not_a_number, unknown_unit, wrong_dimension, out_of_range, each with what was read; `example` would do.
    """
    _refuse_long(text, field)
    tidied = tidy(text)
    match = _start_of_number(tidied, field)
    number = _number(match, field)
    rest = tidied[match.end() :].lstrip(" ")
    if not rest:
        raise CalculationError(
            "unknown_unit", field, f"read {quoted(text)} without a unit; accepted is a text such as {example}"
        )
    if not (rest[0].isalpha() or rest[0] == "/") or re.match(r"[eE][-+]?[0-9]", rest):
        raise CalculationError(
            "not_a_number", field, f"read {quoted(text)}; accepted is one number and its unit, such as “12.5 mL/h”"
        )
    read, divisor, faults = read_unit(rest, field)
    return quantity(number.number / divisor, read, number.faults + faults, tidied, number.decimals)


def quantity(number: Fraction, unit: Unit, faults: tuple[str, ...], text: str, decimals: int) -> Quantity:
    """A quantity with its printed form."""
    return Quantity(number, unit, faults, text, decimals, with_unit(number, unit.text))


def number_text(value: object, field: str) -> str:
    """The text of a bare number from JSON: a text, a whole number, a decimal as it was written; never a float."""
    if isinstance(value, bool) or not isinstance(value, str | int | Decimal):
        raise CalculationError(
            "not_a_number", field, f"read {quoted(value)}; accepted is a number such as 20 or “0.5”"
        )
    return str(value)[: LONGEST + 1]


def split_said(text: str) -> tuple[str, str | None, int]:
    """What was said, as number, unit (None when none was said) and decimals, before either is judged.

    A text without one clear number comes back whole as the number, so that reading it says why.
    """
    tidied = tidy(text[: LONGEST + 1])
    match = _NUMBER.match(tidied)
    rest = tidied[match.end() :].strip(" ") if match else ""
    clear = match and (not rest or rest[0].isalpha() or rest[0] in "/%") and not re.match(r"[eE][-+]?[0-9]", rest)
    if match is None or not clear:
        return text, None, 0
    return match.group(), rest or None, len(match.group().partition(".")[2])
