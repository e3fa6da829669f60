"""Doses back from rates, concentrations told in another unit, and plain conversions."""

from fractions import Fraction

from calculators import bag, infusion
from calculators.errors import CalculationError, quoted
from calculators.patient import POUND, weight
from calculators.reading import Quantity, read_quantity
from calculators.units import ATOMS, DRUG_KINDS, Atom, Unit, unit
from calculators.working import Chain, Run
from calculators.writing import decimal

_ML, _KG = ATOMS["mL"], ATOMS["kg"]
_SUBSTANCE = {"kg": ATOMS["substance_kg"], "lb": ATOMS["substance_lb"]}


def dose_rate(run: Run) -> Chain:
    """The dose in the unit `to` (required): from a rate and the concentration, or from an ordered dose."""
    target = run.given.target()
    if target is None:
        raise run.given.missing("to", "a dose needs the unit it is told in, such as mcg/kg/min or units/h")
    if target.top.kind not in DRUG_KINDS or target.below("time") is None or target.below("volume"):
        raise CalculationError(
            "wrong_dimension", "to", f"read {target.text}; accepted is a dose such as mcg/kg/min, mg/h or units/h"
        )
    if "rate" not in run.given and "dose" in run.given:
        return _of_dose(run, target)
    return _of_rate(run, target)


def _of_rate(run: Run, target: Unit) -> Chain:
    kilograms = weight(run) if target.below("patient_mass") else None
    per_ml = bag.concentration(run, target.top)
    chain = Chain(run, infusion.rate_in_ml_per_hour(run), infusion.ML_PER_HOUR)
    after = unit(target.top, (ATOMS["h"],))
    if run.may("divided_by_concentration"):
        chain.over(per_ml.number, per_ml.unit.text, after)
    else:
        chain.times(per_ml.number, per_ml.unit.text, after)
    infusion.hours(run, chain, target.below("time") or ATOMS["h"])
    _per_kilogram(run, chain, kilograms)
    return chain


def _per_kilogram(run: Run, chain: Chain, kilograms: Fraction | None) -> None:
    if kilograms is None:
        return
    after = unit(chain.unit.top, (_KG, *chain.unit.under))
    if run.may("weight_left_out"):
        chain.kept(f"÷ {decimal(kilograms, True)} kg left out", after)
    elif run.may("weight_multiplied"):
        chain.times(kilograms, "kg", after)
    else:
        chain.over(kilograms, "kg", after)


def _of_dose(run: Run, target: Unit) -> Chain:
    dose = run.given.need("dose", "the ordered dose")
    mine, theirs = dose.unit.below("patient_mass"), target.below("patient_mass")
    kilograms = weight(run) if (mine is None) != (theirs is None) else None
    chain = infusion.dose_chain(run, dose, kilograms)
    if chain.unit.below("time") is None:
        time = run.given.need("time", "a single dose needs the time it runs over")
        chain.over(time.number, time.unit.text, unit(chain.unit.top, (*chain.unit.under, time.unit.top)))
    if theirs is not None and mine is None:
        _per_kilogram(run, chain, kilograms)
    _turn(chain, target, "to")
    return chain


def _turn(chain: Chain, target: Unit, field: str) -> None:
    if chain.unit.kinds != target.kinds:
        raise CalculationError(
            "wrong_dimension",
            field,
            f"{chain.unit.text} does not convert to {target.text}; they measure different things",
        )
    chain.turn(target)


def concentration(run: Run) -> Chain:
    """The drug in each mL, in the drug's written unit per mL or in `to`."""
    target = run.given.target()
    chain = bag.concentration(run)
    if target is not None:
        _turn(chain, target, "to")
    return chain


def convert(run: Run) -> Chain:
    """`value` in the unit `to`. A kilogram here may be a patient's or a substance's: both sides decide together."""
    text, target = run.given.text("value"), run.given.target()
    if text is None:
        raise run.given.missing("value", "a conversion needs a value with its unit, such as 154 lb")
    if target is None:
        raise run.given.missing("to", "a conversion needs the unit to convert to, such as kg")
    value = read_quantity(text, "value", "154 lb")
    if value.number < 0:
        raise CalculationError("out_of_range", "value", f"read {quoted(text)}; accepted is 0 or more")
    if {value.unit.kinds, target.kinds} <= {"drug_mass", "patient_mass"}:
        return _mass(run, value, value.unit, target)
    return _other(run, value, value.unit, target)


def _mass(run: Run, value: Quantity, mine: Unit, target: Unit) -> Chain:
    pounds = "lb" in (mine.text, target.text)
    chain = Chain(run, value.number, unit(_SUBSTANCE.get(mine.text, mine.top)))
    end = unit(_SUBSTANCE.get(target.text, target.top))
    factor = run.given.weight_factor()
    if pounds and mine.text != target.text and factor is not None:
        kilogram, pound = unit(_SUBSTANCE["kg"]), unit(_SUBSTANCE["lb"])
        if mine.text == "lb":
            _pounds(run, chain, factor, kilogram, divide=True)
        else:
            chain.turn(kilogram)
            _pounds(run, chain, factor, pound, divide=False)
    elif pounds and mine.text == "lb" and target.text == "kg":
        chain.times(POUND, "kg/lb", end)
    chain.turn(end)
    return chain


def _pounds(run: Run, chain: Chain, factor: Fraction, after: Unit, divide: bool) -> None:
    if run.may("pounds_multiplied") != divide:
        chain.over(factor, "lb/kg", after)
    else:
        chain.times(factor, "lb/kg", after)


def _other(run: Run, value: Quantity, mine: Unit, target: Unit) -> Chain:
    weighed = (mine.below("patient_mass") is None) != (target.below("patient_mass") is None)
    kilograms = weight(run) if weighed and "weight" in run.given and mine.top.kind == target.top.kind else None
    chain = Chain(run, value.number, mine)
    if kilograms is not None and mine.below("patient_mass"):
        chain.times(kilograms, "kg", chain.without_weight())
    elif kilograms is not None:
        _per_kilogram(run, chain, kilograms)
    if "formula_weight" in run.given or "valence" in run.given:
        _through_ions(run, chain, target)
    _turn(chain, target, "to")
    return chain


def _through_ions(run: Run, chain: Chain, target: Unit) -> None:
    """Mass to mmol by the formula weight, mmol to mEq by the valence, or back: 1 mEq is not 1 mmol in general."""
    order = {"drug_mass": 0, "substance": 1, "equivalents": 2}
    here, there = order.get(chain.unit.top.kind), order.get(target.top.kind)
    if here is None or there is None:
        return
    while here != there:
        here = _one_link(run, chain, here, 1 if there > here else -1)


def _one_link(run: Run, chain: Chain, here: int, step: int) -> int:
    link = min(here, here + step)
    field, per = (("formula_weight", "mg/mmol"), ("valence", "mEq/mmol"))[link]
    number = run.given.number(field)
    if number is None:
        raise run.given.missing(field, f"needed in {per} for this conversion")
    names: tuple[Atom, ...] = (ATOMS["mg"], ATOMS["mmol"], ATOMS["mEq"])
    chain.turn(unit(names[here], chain.unit.under))
    after = unit(names[here + step], chain.unit.under)
    multiplies = (link == 0) == (step < 0)
    (chain.times if multiplies else chain.over)(number.number, per, after)
    return here + step
