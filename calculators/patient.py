"""The patient's weight in kilograms, by the course's own factor and rounding."""

from fractions import Fraction

from calculators.rounding import Policy
from calculators.units import ATOMS, named
from calculators.working import Chain, Run
from calculators.writing import decimal, with_unit

POUND = Fraction(45359237, 100000000)
_KG = named("kg")
_TRADE = Fraction(22, 10)


def weight(run: Run) -> Fraction:
    """Kilograms, with the lines that lead there. Raises `missing` where a dose per kilogram has no weight."""
    given = run.given.need("weight", "a dose per kilogram needs the patient's weight")
    chain = Chain.of(run, given)
    if given.unit.top is ATOMS["lb"]:
        _from_pounds(run, chain)
    elif given.unit.top is not ATOMS["kg"]:
        chain.turn(_KG)
    elif run.may("kilograms_as_pounds"):
        chain.over(_TRADE, "lb/kg", _KG)
    elif run.may("kilograms_multiplied"):
        chain.times(_TRADE, "lb/kg", _KG)
    kilograms = _rounded(run, chain.number)
    if 10 * kilograms.numerator < 3 * kilograms.denominator or kilograms > 400:
        run.caution(f"implausible weight: {decimal(kilograms, True)} kg; read it again")
    return kilograms


def _from_pounds(run: Run, chain: Chain) -> None:
    factor = run.given.weight_factor()
    if run.may("pounds_as_kilograms"):
        run.line(f"{with_unit(chain.number, 'lb')}, not divided", with_unit(chain.number, "kg"))
    elif run.may("pounds_multiplied"):
        chain.times(_TRADE, "lb/kg", _KG)
    elif run.may("pounds_divided_twice"):
        chain.over(_TRADE, "lb/kg", _KG)
        chain.over(_TRADE, "lb/kg", _KG)
    elif factor is None:
        chain.times(POUND, "kg/lb", _KG)
    else:
        chain.over(factor, "lb/kg", _KG)


def _rounded(run: Run, kilograms: Fraction) -> Fraction:
    places = run.given.weight_places()
    if places is None:
        if kilograms.denominator == 1 or not run.may("weight_rounded_first"):
            return kilograms
        places = 0
    policy = Policy(Fraction(1, 10**places))
    rounded = policy.apply(kilograms)
    if rounded != kilograms:
        run.line(f"weight {policy.short}", with_unit(rounded, "kg"))
    return rounded
