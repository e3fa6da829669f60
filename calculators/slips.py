"""The known slips and the value each would give for the case at hand."""

from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from calculators.errors import CalculationError
from calculators.given import Given
from calculators.rounding import MODES, Policy
from calculators.solving import Solved, run_through
from calculators.units import Unit
from calculators.working import Line
from calculators.writing import decimal

# code: (words, family). Two slips of one family are not made in the same calculation, so they are never summed.
KNOWN: dict[str, tuple[str, str]] = {
    "time_base_left_out": ("Time base: the step between minutes and hours left out", "time"),
    "time_base_wrong_way": ("Time base: divided where it is multiplied, or the reverse", "time"),
    "time_base_twice": ("Time base: minutes and hours converted twice", "time"),
    "time_base_added": ("Time base: multiplied by 60 although already per hour", "time"),
    "time_base_divided": ("Time base: divided by 60 although already per hour", "time"),
    "multiplied_by_time": ("Multiplied by the time instead of divided", "time"),
    "weight_left_out": ("Weight left out", "weight"),
    "weight_divided": ("Divided by the weight instead of multiplied", "weight"),
    "weight_multiplied": ("Multiplied by the weight instead of divided", "weight"),
    "pounds_as_kilograms": ("Pounds taken as kilograms", "weight"),
    "pounds_multiplied": ("Pounds and kilograms converted the wrong way round", "weight"),
    "pounds_divided_twice": ("Pounds divided by 2.2 twice", "weight"),
    "kilograms_as_pounds": ("Kilograms taken as pounds and divided by 2.2", "weight"),
    "kilograms_multiplied": ("Kilograms multiplied by 2.2", "weight"),
    "weight_rounded_first": ("Weight rounded on the way", "early"),
    "concentration_rounded_first": ("Concentration rounded on the way", "early"),
    "rate_rounded_first": ("Rate rounded on the way", "early"),
    "prefix_left_out": ("Prefix: the step between mcg, mg and g left out", "prefix"),
    "prefix_wrong_way": ("Prefix: mcg, mg and g converted the wrong way round", "prefix"),
    "prefix_larger": ("Prefix: a thousand times too much", "prefix"),
    "prefix_smaller": ("Prefix: a thousand times too little", "prefix"),
    "tenfold_up": ("Decimal point: ten times too much", "tenfold"),
    "tenfold_down": ("Decimal point: ten times too little", "tenfold"),
    "concentration_inverted": ("Concentration upside down", "concentration"),
    "multiplied_by_concentration": ("Multiplied by the concentration instead of divided", "concentration"),
    "divided_by_concentration": ("Divided by the concentration instead of multiplied", "concentration"),
    "additive_ignored": ("The drug's own volume ignored", "additive"),
    "additive_counted": ("The drug's own volume counted although it does not count here", "additive"),
    "wrong_drop_factor": ("Another set's drop factor used", "drops"),
    "drop_factor_left_out": ("Drop factor left out", "drops"),
    "drop_factor_divided": ("Divided by the drop factor instead of multiplied", "drops"),
    "ml_per_hour_for_drops": ("The rate in mL/h told as drops per minute", "drops"),
    "whole_bag": ("Whole bag told as the volume to be infused", "reserve"),
    "reserve_twice": ("Reserve taken off twice", "reserve"),
    "reserve_added": ("Reserve added instead of taken off", "reserve"),
    "reserve_itself": ("The reserve told as the volume to be infused", "reserve"),
    "vtbi_for_rate": ("Rate and volume to be infused swapped", "swap"),
    "rate_for_vtbi": ("Rate and volume to be infused swapped", "swap"),
    "upside_down": ("Divided the other way round", "swap"),
    "multiplied": ("Multiplied instead of divided", "swap"),
    "row_above": ("Next row of the titration table read", "row"),
    "row_below": ("Row before in the titration table read", "row"),
    "digits_transposed": ("Two digits swapped", "digits"),
    "rounded_otherwise": ("Worked out right, rounded in another way than asked", "digits"),
}
# Only these scale the answer by a fixed ratio, so only these may be summed by multiplying ratios.
SCALING = frozenset({"time", "weight", "prefix", "tenfold", "concentration", "drops"})


@dataclass(frozen=True, slots=True)
class Slip:
    """One slip, what it gives exactly and rounded, and its working beside the right one."""

    code: str
    text: str
    exact: Fraction
    rounded: Fraction
    lines: tuple[Line, ...]


def candidates(find: str, given: Given, right: Solved, policy: Policy, listed: tuple[Fraction, ...]) -> list[Slip]:
    """Each slip this calculation invites, except those that would give a right answer (`listed`) anyway.

    Two of one family with one value are one slip under two names (60 gtt/mL is mL/h told as drops): the first stays.
    """
    found: list[Slip] = []
    for key in right.offered:
        slip = _made(find, given, key, policy)
        if slip is None or slip.exact == right.number or slip.rounded in listed or slip.exact < 0:
            continue
        if not any(slip.exact == other.exact and _family(slip) == _family(other) for other in found):
            found.append(slip)
    found += _transposed(right, policy, listed)
    return found + _otherwise(right, policy, listed)


def _family(slip: Slip) -> str:
    return KNOWN[slip.code][1]


def _made(find: str, given: Given, key: str, policy: Policy) -> Slip | None:
    """The run with that slip, or None where it leads nowhere (a division by nothing, a reserve above the bag)."""
    try:
        wrong = run_through(find, given, frozenset({key}), policy)
    except (CalculationError, ZeroDivisionError):
        return None
    code, _, detail = key.partition(":")
    text = KNOWN[code][0] + (f" ({detail} gtt/mL)" if detail else "")
    return Slip(code, text, wrong.number, policy.apply(wrong.number), wrong.lines)


def _extra(code: str, number: Fraction, lines: tuple[Line, ...], unit: Unit, remark: str) -> Slip:
    gives = f"{decimal(number, True)} {unit.text}"
    return Slip(code, KNOWN[code][0], number, number, (*lines, (remark, gives)))


def _transposed(right: Solved, policy: Policy, listed: tuple[Fraction, ...]) -> list[Slip]:
    digits = decimal(policy.apply(right.number))
    places = [i for i, c in enumerate(digits) if c.isdigit()]
    found: dict[Fraction, Slip] = {}
    for one, other in pairwise(places):
        swapped = list(digits)
        swapped[one], swapped[other] = digits[other], digits[one]
        number = Fraction("".join(swapped))
        if number and number not in listed and number not in found:
            found[number] = _extra("digits_transposed", number, right.lines, right.unit, "two digits swapped")
    return list(found.values())


def _otherwise(right: Solved, policy: Policy, listed: tuple[Fraction, ...]) -> list[Slip]:
    """Right up to the rounding. Only grains within 5 % of the exact value: beyond that it is another number."""
    found: dict[Fraction, Slip] = {}
    for places in range(4):
        for mode in MODES:
            other = Policy(Fraction(1, 10**places), mode)
            number = other.apply(right.number)
            near = number and abs(number - right.number) * 20 <= abs(right.number)
            if near and number not in listed and number not in found:
                found[number] = _extra("rounded_otherwise", number, right.lines[:-1], right.unit, other.words)
    return list(found.values())
