"""The inputs of a calculation: which there are, what each may measure, and a reader that refuses the rest."""

from collections.abc import Mapping
from fractions import Fraction
from functools import lru_cache

from calculators.errors import CalculationError, quoted
from calculators.reading import Number, Quantity, number_text, quantity, read_number, read_quantity, read_unit
from calculators.units import ATOMS, DRUG_KINDS, Unit, unit

MODES_OF_ADDING = ("added", "withdrawn_first", "nominal", "powder")
PLACES_OF_WEIGHT = 4

_AMOUNTS = tuple(sorted(DRUG_KINDS))
_CONCENTRATIONS = tuple(f"{kind}/volume" for kind in _AMOUNTS)
_DOSES = tuple(kind + under for kind in _AMOUNTS for under in ("", "/time", "/patient_mass", "/patient_mass/time"))
_RATES = ("volume/time", "volume/patient_mass/time", "drops/time")

# field: the dimensions it may have, an example, whether zero is allowed
_QUANTITIES: dict[str, tuple[tuple[str, ...], str, bool]] = {
    "dose": (_DOSES, "5 mcg/kg/min, 1,000 units/h or 1 g", False),
    "weight": (("patient_mass",), "70 kg or 154 lb", False),
    "drug_amount": (_AMOUNTS, "800 mg or 25,000 units", False),
    "diluent_volume": (("volume",), "250 mL", False),
    "additive_volume": (("volume",), "20 mL", True),
    "concentration": (_CONCENTRATIONS, "2 mg/mL or 900 mg/500 mL", False),
    "volume": (("volume",), "500 mL", False),
    "time": (("time",), "8 h or 30 min", False),
    "rate": (_RATES, "125 mL/h", False),
    "interval": (("time",), "96 h", False),
    "max_rate": ((*_RATES, *(d for d in _DOSES if d.endswith("time"))), "100 mL/h or 10 mEq/h", False),
    "max_per_day": (("volume/time", "volume", *_DOSES), "200 mEq/24 h", False),
    "min_time": (("time",), "60 min", False),
    "titration_step": (tuple(d for d in _DOSES if d.endswith("time")), "1 mcg/kg/min", False),
}
_TEXTS = ("additive_mode", "drop_factor", "item", "reserve", "start", "to", "value", "weight_factor", "zone")
_NUMBERS = ("formula_weight", "valence", "weight_places")
FIELDS = frozenset([*_QUANTITIES, *_TEXTS, *_NUMBERS])
_LIMITS = frozenset({"max_rate", "max_per_day", "min_time"})


@lru_cache(maxsize=16384)
def _quantity(name: str, text: str) -> Quantity:
    kinds, example, zero_allowed = _QUANTITIES[name]
    read = read_quantity(text, name, example)
    if name == "weight" and read.unit.kinds == "drug_mass" and read.unit.top.name == "g":
        read = quantity(read.number, unit(ATOMS["patient_g"]), read.faults, read.text, read.decimals)
    if read.unit.kinds not in kinds:
        raise CalculationError("wrong_dimension", name, f"read {quoted(text)}; accepted is a text such as {example}")
    _within(read.number, text, name, zero_allowed)
    return read


def _within(number: Fraction, text: object, name: str, zero_allowed: bool = False) -> None:
    if number < 0 or (number == 0 and not zero_allowed):
        least = "0 or more" if zero_allowed else "more than 0"
        raise CalculationError("out_of_range", name, f"read {quoted(text)}; accepted is {least}")


class Given:
    """The inputs of one request. Reading a field that is absent or null gives None; `need` refuses instead.

    `faults` gathers the faults of notation in the quantities that were read.
    """

    def __init__(self, fields: object) -> None:
        if not isinstance(fields, Mapping):
            raise CalculationError(
                "missing", "given", f'read {quoted(fields)}; accepted is an object such as {{"volume": "500 mL"}}'
            )
        if not fields.keys() <= FIELDS:
            name = next(str(name) for name in fields if name not in FIELDS)
            raise CalculationError(
                "unknown_field", name[:40], f"is no known input; known are {', '.join(sorted(FIELDS))}"
            )
        self._fields = fields
        self.faults: dict[str, tuple[str, ...]] = {}
        self.limited = not _LIMITS.isdisjoint(fields)

    def __contains__(self, name: str) -> bool:
        return self._fields.get(name) is not None

    def quantity(self, name: str) -> Quantity | None:
        text = self._text(name)
        if text is None:
            return None
        read = _quantity(name, text)
        if read.faults:
            self.faults[name] = read.faults
        return read

    def need(self, name: str, why: str) -> Quantity:
        """The quantity, or the error `missing` that says what it is needed for."""
        found = self.quantity(name)
        if found is None:
            raise self.missing(name, why)
        return found

    def missing(self, name: str, why: str) -> CalculationError:
        example = f", such as {_QUANTITIES[name][1]}" if name in _QUANTITIES else ""
        return CalculationError("missing", name, f"read nothing; {why}{example}")

    def _text(self, name: str) -> str | None:
        found = self._fields.get(name)
        if found is None:
            return None
        if not isinstance(found, str):
            raise CalculationError(
                "not_a_number", name, f"read {quoted(found)}, not a text; accepted is a text with its unit in quotes"
            )
        return found

    def text(self, name: str) -> str | None:
        found = self._text(name)
        return None if found is None else found.strip()

    def choice(self, name: str, accepted: tuple[str, ...]) -> str | None:
        found = self.text(name)
        if found is not None and found not in accepted:
            raise CalculationError("unknown_value", name, f"read {quoted(found)}; accepted are {', '.join(accepted)}")
        return found

    def number(self, name: str) -> Number | None:
        """A bare number, as text or as a whole number of JSON."""
        found = self._fields.get(name)
        if found is None:
            return None
        read = read_number(number_text(found, name), name)
        _within(read.number, found, name, zero_allowed=name == "weight_places")
        return read

    def drop_factor(self) -> Fraction:
        """Drops per millilitre of the set, from "20 gtt/mL" or "20"."""
        found = self._fields.get("drop_factor")
        if found is None:
            raise self.missing(
                "drop_factor", "drops have no fixed volume: give the set's own figure, such as 20 gtt/mL"
            )
        if isinstance(found, str) and any(c.isalpha() for c in found):
            read = read_quantity(found, "drop_factor", "20 gtt/mL")
            if read.unit.text != "gtt/mL":
                raise CalculationError(
                    "wrong_dimension", "drop_factor", f"read {quoted(found)}; accepted is a text such as 20 gtt/mL"
                )
            _within(read.number, found, "drop_factor")
            return read.number
        bare = self.number("drop_factor")
        return bare.number if bare else Fraction(0)

    def target(self) -> Unit | None:
        """The unit asked for by `to`."""
        text = self._text("to")
        if text is None:
            return None
        read, divisor, _ = read_unit(text, "to")
        if divisor != 1:
            raise CalculationError("unknown_unit", "to", f"read {quoted(text)}; accepted is a unit such as mL/h")
        return read

    def weight_factor(self) -> Fraction | None:
        """Pounds to a kilogram by the trade's 2.2, or None for the exact pound."""
        return None if self.choice("weight_factor", ("2.2", "exact")) == "exact" else Fraction(22, 10)

    def weight_places(self) -> int | None:
        read = self.number("weight_places")
        if read is None:
            return None
        if read.number.denominator != 1 or read.number > PLACES_OF_WEIGHT:
            raise CalculationError(
                "out_of_range", "weight_places", f"read {read.number}; accepted is 0 to {PLACES_OF_WEIGHT} or null"
            )
        return int(read.number)
