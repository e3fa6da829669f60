"""The closed list of units: their sizes and dimensions come from `units.txt` through pint.

A unit here is one atom over others (`mcg/kg/min`), which is all that orders and labels use. Each text is looked up
once and kept; arithmetic afterwards needs only the sizes.
"""

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from pathlib import Path
from typing import Any

import pint

from calculators.errors import CalculationError, quoted


@dataclass(frozen=True, slots=True, eq=False)
class Atom:
    """One unit without a stroke. `kind` is its dimension, `size` how many base units it holds."""

    name: str
    shown: str
    kind: str
    size: Fraction
    ucum: str


@dataclass(frozen=True, slots=True, eq=False)
class Unit:
    """`top` over `under`. `kinds` is the dimension written the same way: "drug_mass/patient_mass/time"."""

    text: str
    top: Atom
    under: tuple[Atom, ...]
    kinds: str

    def below(self, kind: str) -> Atom | None:
        """The atom of that kind under the stroke, if there is one."""
        for atom in self.under:
            if atom.kind == kind:
                return atom
        return None

    @property
    def ucum(self) -> str:
        """The UCUM code, for exports only (UCUM counts drops as an annotation and `[iU]` for drug units)."""
        return "/".join([self.top.ucum, *(atom.ucum for atom in self.under)])


DRUG_KINDS = frozenset({"drug_mass", "drug_units", "equivalents", "substance"})

# pint's name: how it is printed, its UCUM code, the spellings that are read (by exact case first, then without).
_WRITTEN: dict[str, tuple[str, str, str]] = {
    "ng": ("ng", "ng", "ng"),
    "mcg": ("mcg", "ug", "mcg ug µg μg microgram micrograms"),
    "mg": ("mg", "mg", "mg milligram milligrams"),
    "g": ("g", "g", "g gram grams"),
    "units": ("units", "[iU]", "units unit U IU iu u"),
    "milliunits": ("milliunits", "m[iU]", "milliunits milliunit mU"),
    "million_units": ("million units", "10*6.[iU]", ""),
    "mEq": ("mEq", "meq", "mEq milliequivalent milliequivalents"),
    "mmol": ("mmol", "mmol", "mmol millimole millimoles"),
    "mcmol": ("mcmol", "umol", "mcmol umol µmol μmol"),
    "mol": ("mol", "mol", "mol"),
    "gtt": ("gtt", "{gtt}", "gtt gtts drop drops"),
    "kg": ("kg", "kg", "kg kgs kilogram kilograms"),
    "patient_g": ("g", "g", ""),
    "lb": ("lb", "[lb_av]", "lb lbs pound pounds"),
    "substance_kg": ("kg", "kg", ""),
    "substance_lb": ("lb", "[lb_av]", ""),
    "mL": ("mL", "mL", "mL mLs milliliter milliliters millilitre millilitres cc ccs"),
    "mcL": ("mcL", "uL", "mcL uL µL μL"),
    "dL": ("dL", "dL", "dL"),
    "L": ("L", "L", "L liter liters litre litres"),
    "tsp": ("tsp", "5.mL", "tsp teaspoon teaspoons"),
    "tbsp": ("tbsp", "15.mL", "tbsp tablespoon tablespoons"),
    "oz": ("oz", "30.mL", "oz ounce ounces"),
    "s": ("s", "s", "s sec secs second seconds"),
    "min": ("min", "min", "min mins minute minutes"),
    "h": ("h", "h", "h hr hrs hour hours"),
    "day": ("day", "d", "day days d"),
    "week": ("week", "wk", "week weeks wk"),
    "mm": ("mm", "mm", "mm"),
    "cm": ("cm", "cm", "cm"),
    "m": ("m", "m", "m"),
    "inch": ("in", "[in_i]", "in inch inches"),
}
# "MU" is read as million units by some and as milliunits by others: neither is guessed.
_NOT_FOLDED = frozenset({"mu"})


def _registry() -> "pint.UnitRegistry[Any]":
    here = Path(__file__).with_name("units.txt")
    return pint.UnitRegistry(str(here), non_int_type=Fraction, cache_folder=None)


REGISTRY = _registry()


def _atom(name: str) -> Atom:
    shown, ucum, _ = _WRITTEN[name]
    base = REGISTRY.Quantity(Fraction(1), name).to_base_units()
    (dimension,) = base.dimensionality
    return Atom(name, shown, str(dimension).strip("[]"), Fraction(base.magnitude), ucum)


ATOMS: dict[str, Atom] = {name: _atom(name) for name in _WRITTEN}
_EXACT = {spelling: ATOMS[name] for name, row in _WRITTEN.items() for spelling in row[2].split()}
_FOLDED = {spelling.lower(): atom for spelling, atom in _EXACT.items() if spelling.lower() not in _NOT_FOLDED}
_ORDER = {"patient_mass": 0, "volume": 1, "drops": 2, "time": 3}


def atom_named(spelling: str) -> Atom | None:
    """The atom a person means by that spelling, or None."""
    return _EXACT.get(spelling) or _FOLDED.get(spelling.lower())


@lru_cache(maxsize=4096)
def unit(top: Atom, under: tuple[Atom, ...] = ()) -> Unit:
    """The unit `top/under`, its parts in the order orders are written in: per kilogram before per time."""
    kinds = [top.kind, *(atom.kind for atom in under)]
    ordered = tuple(sorted(under, key=lambda atom: _ORDER.get(atom.kind, 9)))
    text = "/".join([top.shown, *(atom.shown for atom in ordered)])
    if len(set(kinds)) != len(kinds):
        raise CalculationError("wrong_dimension", "", f"{quoted(text)} has the same kind of unit twice")
    return Unit(text, top, ordered, "/".join([top.kind, *(atom.kind for atom in ordered)]))


def named(text: str) -> Unit:
    """A unit the code itself names, by pint's names: `named("mL/h")`."""
    top, *under = text.split("/")
    return unit(ATOMS[top], tuple(ATOMS[name] for name in under))


@lru_cache(maxsize=4096)
def ratio(one: Atom, other: Atom) -> Fraction:
    """How many `other` make one `one`; pint refuses atoms of different dimensions."""
    try:
        return Fraction(REGISTRY.Quantity(Fraction(1), one.name).to(other.name).magnitude)
    except pint.DimensionalityError:
        raise CalculationError("wrong_dimension", "", f"{one.shown} does not convert to {other.shown}") from None


@lru_cache(maxsize=4096)
def factor(one: Unit, other: Unit) -> Fraction:
    """How many `other` make one `one`. Raises wrong_dimension where the two do not measure the same thing."""
    if one.kinds != other.kinds:
        raise CalculationError("wrong_dimension", "", f"{one.text} does not convert to {other.text}")
    result = ratio(one.top, other.top)
    for mine, theirs in zip(one.under, other.under, strict=True):
        result /= ratio(mine, theirs)
    return result
