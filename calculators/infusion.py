"""Rates and doses: mL/h from an ordered dose and a bag, and back again."""

from collections.abc import Callable
from fractions import Fraction

from calculators import bag
from calculators.errors import CalculationError
from calculators.patient import weight
from calculators.reading import Quantity
from calculators.units import ATOMS, Atom, Unit, factor, named, unit
from calculators.working import Chain, Run
from calculators.writing import shown, with_unit

ML_PER_HOUR = named("mL/h")
DROPS_PER_MINUTE = named("gtt/min")
_HOUR, _ML, _KG = ATOMS["h"], ATOMS["mL"], ATOMS["kg"]


def rate(run: Run) -> Chain:
    """The rate in mL/h (or `to`): from dose and concentration, volume and time, or a rate in another unit."""
    target = run.given.target() or ML_PER_HOUR
    if target.kinds not in ("volume/time", "volume/patient_mass/time"):
        raise CalculationError("wrong_dimension", "to", f"read {target.text}; accepted is mL/h, mL/min or mL/kg/min")
    ways = _ways(run)
    chain = ways[0](run, target)
    if not run.slips:
        _one_answer(run, chain, ways[1:], target)
    return chain


Way = Callable[[Run, Unit], Chain]


def _ways(run: Run) -> list[Way]:
    """The ways the inputs allow, the best first; a second way must give the same answer."""
    given = run.given
    dose = given.quantity("dose")
    timed = dose is not None and dose.unit.below("time") is not None
    by_dose = dose is not None and (timed or "time" in given) and bag.has_concentration(run)
    found: list[Way] = [_by_dose] if by_dose else []
    if "time" in given and bag.has_volume(run) and (timed or not by_dose):
        found.append(_by_time)
    if "rate" in given:
        found.append(_by_rate)
    if not found:
        raise _no_way(run, dose is not None, timed)
    return found


def _no_way(run: Run, dosed: bool, timed: bool) -> CalculationError:
    if not dosed:
        name = "dose" if bag.has_concentration(run) else "time" if bag.has_volume(run) else "volume"
    elif bag.has_concentration(run):
        name = "time"
    else:
        amount = "drug_amount" in run.given
        name = "volume" if amount else "drug_amount" if timed and bag.has_volume(run) else "concentration"
    return run.given.missing(name, "a rate needs dose and concentration, or volume and time")


def _one_answer(run: Run, chain: Chain, others: list[Way], target: Unit) -> None:
    """Refuse inputs that contradict each other. A stated rate may be rounded in its last place."""
    for other in others:
        second = other(Run(run.given), target)
        stated = run.given.quantity("rate") if other is _by_rate else None
        allowed = Fraction(1, 10**stated.decimals) if stated else Fraction(0)
        if abs(second.number - chain.number) > allowed:
            raise CalculationError(
                "conflict",
                "rate" if stated else "time",
                f"gives {with_unit(second.number, target.text)}, but the other inputs give"
                f" {with_unit(chain.number, target.text)}; leave one of the two out",
            )


def agree(run: Run) -> None:
    """Refuse a stated rate that volume and time, or dose and concentration, contradict."""
    if "rate" in run.given and not run.slips:
        quiet = Run(run.given)
        ways = _ways(quiet)
        if len(ways) > 1:
            _one_answer(quiet, ways[0](quiet, ML_PER_HOUR), ways[1:], ML_PER_HOUR)


def _by_dose(run: Run, target: Unit) -> Chain:
    dose = run.given.need("dose", "the ordered dose")
    kilograms = _weight_for(run, dose.unit, target)
    per_ml = bag.concentration(run, dose.unit.top)
    chain = dose_chain(run, dose, kilograms)
    _over_time(run, chain)
    hours(run, chain, target.below("time") or _HOUR)
    into_volume(run, chain, per_ml)
    _per_kilogram(chain, target, kilograms)
    chain.turn(target)
    return chain


def _weight_for(run: Run, dose: Unit, target: Unit) -> Fraction | None:
    """Kilograms if the dose counts them and the answer does not, or the other way round."""
    mine, theirs = dose.below("patient_mass"), target.below("patient_mass")
    return weight(run) if (mine is None) != (theirs is None) else None


def dose_chain(run: Run, dose: Quantity, kilograms: Fraction | None) -> Chain:
    """The dose, times the weight where it counts kilograms and `kilograms` is given."""
    start = dose.number
    if (step := run.given.quantity("titration_step")) and step.unit.kinds == dose.unit.kinds:
        by = step.number * factor(step.unit, dose.unit)
        for slip, row in (("row_above", start + by), ("row_below", start - by)):
            if row > 0 and run.may(slip):
                run.line(f"the row of {with_unit(row, dose.unit.text)} read", with_unit(row, dose.unit.text))
                start = row
    chain = Chain(run, start, dose.unit)
    if kilograms is None or dose.unit.below("patient_mass") is None:
        return chain
    after = chain.without_weight()
    if run.may("weight_left_out"):
        chain.kept(f"× {with_unit(kilograms, 'kg')} left out", after)
    elif run.may("weight_divided"):
        chain.over(kilograms, "kg", after)
    else:
        chain.times(kilograms, "kg", after)
    return chain


def _over_time(run: Run, chain: Chain) -> None:
    if chain.unit.below("time") is not None:
        return
    time = run.given.need("time", "a single dose needs the time it runs over")
    chain.over(time.number, time.unit.text, unit(chain.unit.top, (*chain.unit.under, time.unit.top)))


def hours(run: Run, chain: Chain, per: Atom) -> None:
    """To the time base of the answer. A time base that already fits can still be changed by a slip."""
    mine = chain.unit.below("time")
    if mine is not per:
        under = tuple([per if a.kind == "time" else a for a in chain.unit.under])
        chain.turn(unit(chain.unit.top, under))
    elif run.may("time_base_added"):
        chain.times(Fraction(60), "(already per hour)", chain.unit)
    elif run.may("time_base_divided"):
        chain.over(Fraction(60), "(already per hour)", chain.unit)


def into_volume(run: Run, chain: Chain, per_ml: Chain) -> None:
    """Drug into mL by the concentration."""
    after = unit(_ML, chain.unit.under)
    if run.may("multiplied_by_concentration"):
        chain.times(per_ml.number, per_ml.unit.text, after)
    else:
        chain.step(f"÷ {per_ml.text}", chain.number / per_ml.number, after)


def _per_kilogram(chain: Chain, target: Unit, kilograms: Fraction | None) -> None:
    if kilograms is not None and target.below("patient_mass") and not chain.unit.below("patient_mass"):
        chain.over(kilograms, "kg", unit(chain.unit.top, (_KG, *chain.unit.under)))


def _by_time(run: Run, target: Unit) -> Chain:
    time = run.given.need("time", "the time it runs over")
    chain = Chain(run, bag.final_volume(run), bag.ML)
    if run.may("multiplied_by_time"):
        chain.times(time.number, time.unit.text, unit(_ML, (time.unit.top,)))
    else:
        chain.over(time.number, time.unit.text, unit(_ML, (time.unit.top,)))
    hours(run, chain, target.below("time") or _HOUR)
    _per_kilogram(chain, target, weight(run) if target.below("patient_mass") else None)
    chain.turn(target)
    return chain


def _by_rate(run: Run, target: Unit) -> Chain:
    given = run.given.need("rate", "the rate")
    chain = Chain.of(run, given)
    if given.unit.top is ATOMS["gtt"]:
        _out_of_drops(run, chain)
    if given.unit.below("patient_mass") and not target.below("patient_mass"):
        kilograms = weight(run)
        chain = Chain.of(run, given)
        chain.times(kilograms, "kg", chain.without_weight())
    elif target.below("patient_mass") and not given.unit.below("patient_mass"):
        _per_kilogram(chain, target, weight(run))
    chain.turn(target)
    return chain


def _out_of_drops(run: Run, chain: Chain) -> None:
    drops = run.given.drop_factor()
    after = unit(_ML, chain.unit.under)
    if run.may("drop_factor_left_out"):
        chain.kept(f"÷ {shown(drops)} gtt/mL left out", after)
    else:
        chain.over(drops, "gtt/mL", after)


def rate_in_ml_per_hour(run: Run) -> Fraction:
    """The rate other answers build on: as given, else worked out, in mL/h."""
    stated = run.given.quantity("rate")
    if stated is not None and stated.unit.kinds == "volume/time":
        if stated.unit is ML_PER_HOUR:
            return stated.number
        return _by_rate(run, ML_PER_HOUR).number
    if "rate" not in run.given and "dose" not in run.given and "time" not in run.given:
        raise run.given.missing("rate", "needed, or dose and concentration, or volume and time")
    return _ways(run)[0](run, ML_PER_HOUR).number
