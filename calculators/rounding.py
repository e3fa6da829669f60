"""Rounding, once, at the end, by a named policy."""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property, lru_cache

from calculators.errors import CalculationError, quoted
from calculators.reading import number_text, read_number
from calculators.writing import decimal

MODES = ("half_up", "half_even", "down")
_PLACES = ("a whole number", "a tenth", "a hundredth", "a thousandth")
MOST_PLACES = 12


@dataclass(frozen=True)
class Policy:
    """`step` is the grain (1/10 for a tenth, a pump's increment); ties and cuts by `mode`."""

    step: Fraction
    mode: str = "half_up"

    def apply(self, number: Fraction) -> Fraction:
        """The number on this policy's grain. Half up and down work on the distance from zero."""
        grain = number.denominator * self.step.numerator
        whole, rest = divmod(abs(number.numerator) * self.step.denominator, grain)
        twice = 2 * rest
        tie_goes_up = self.mode == "half_up" or (self.mode == "half_even" and whole % 2 == 1)
        if self.mode != "down" and (twice > grain or (twice == grain and tie_goes_up)):
            whole += 1
        return Fraction((whole if number.numerator >= 0 else -whole) * self.step.numerator, self.step.denominator)

    @cached_property
    def grain(self) -> str:
        for places, words in enumerate(_PLACES):
            if self.step == Fraction(1, 10**places):
                return words
        return f"steps of {decimal(self.step)}"

    @cached_property
    def short(self) -> str:
        """For the last line of working: "to a tenth"."""
        ending = {"half_up": "", "half_even": ", ties to even", "down": ""}[self.mode]
        return f"{'down ' if self.mode == 'down' else ''}to {self.grain}{ending}"

    @cached_property
    def words(self) -> str:
        """For the reason of a verdict: "to a tenth, half up"."""
        return f"to {self.grain}, " + {"half_up": "half up", "half_even": "ties to even", "down": "cut"}[self.mode]


def read_policy(written: object, field: str = "rounding") -> Policy:
    """The policy in `{"places": 1, "mode": "half_up"}` or `{"step": "0.5", "mode": ...}`."""
    if not isinstance(written, Mapping):
        raise CalculationError(
            "unknown_value", field, f'read {quoted(written)}; accepted is {{"places": 1, "mode": "half_up"}}'
        )
    for name in written:
        if name not in ("places", "mode", "step"):
            raise CalculationError("unknown_field", field, f"read {quoted(name)}; accepted are places, mode and step")
    mode = written.get("mode", "half_up")
    if mode not in MODES:
        raise CalculationError("unknown_value", field, f"read mode {quoted(mode)}; accepted are {', '.join(MODES)}")
    if written.get("step") is None:
        return _to_places(_places(written.get("places"), field), mode)
    return Policy(_grain(written, field), mode)


@lru_cache(maxsize=64)
def _to_places(places: int, mode: str) -> Policy:
    return Policy(Fraction(1, 10**places), mode)


def _grain(written: Mapping[str, object], field: str) -> Fraction:
    places, step = written.get("places"), written.get("step")
    grain = read_number(number_text(step, field), field).number
    if grain <= 0:
        raise CalculationError("out_of_range", field, f"read step {quoted(step)}; accepted is more than 0")
    if places is not None and (grain * 10 ** _places(places, field)).denominator != 1:
        raise CalculationError(
            "conflict", field, f"a step of {decimal(grain)} does not fit {quoted(places)} places; give one of the two"
        )
    return grain


def _places(places: object, field: str) -> int:
    if isinstance(places, str) and places.isascii() and places.isdigit() and len(places) < 3:
        places = int(places)
    if isinstance(places, bool) or not isinstance(places, int):
        raise CalculationError(
            "not_a_number", field, f"read places {quoted(places)}; accepted is a whole number from 0 to {MOST_PLACES}"
        )
    if not 0 <= places <= MOST_PLACES:
        raise CalculationError("out_of_range", field, f"read {quoted(places)} places; accepted is 0 to {MOST_PLACES}")
    return places
