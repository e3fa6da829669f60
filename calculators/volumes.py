"""Volumes and durations: the volume to be infused by a reserve rule, a dose's volume, how long a bag runs."""

from fractions import Fraction

from calculators import bag, infusion
from calculators.errors import CalculationError, quoted
from calculators.patient import weight
from calculators.reading import Quantity, read_number, read_quantity, tidy
from calculators.units import ATOMS, factor, named, unit
from calculators.working import Chain, Run
from calculators.writing import shown, with_unit

_HOURS, _MINUTES = named("h"), named("min")
_ML = ATOMS["mL"]


def vtbi(run: Run) -> Chain:
    """The volume to be infused: the bag less its reserve (nothing, mL, minutes of flow, percent), or rate × time."""
    target = run.given.target() or bag.ML
    if target.kinds != "volume":
        raise CalculationError("wrong_dimension", "to", f"read {target.text}; accepted is mL or L")
    if not bag.has_volume(run):
        chain = _rate_times_time(run)
    else:
        full = bag.final_volume(run)
        left = _less_reserve(run, full)
        if "rate" in run.given and "time" in run.given and not run.slips:
            _same_volume(run, left)
        chain = Chain(run, left, bag.ML)
    chain.turn(target)
    return chain


def _same_volume(run: Run, left: Fraction) -> None:
    """The volume of the bag and rate × time are two ways to a VTBI; where they differ, neither is guessed."""
    flows = _rate_times_time(Run(run.given)).number
    if flows != left:
        raise CalculationError(
            "conflict",
            "time",
            f"rate × time gives {with_unit(flows, 'mL')}, but volume and reserve give {with_unit(left, 'mL')};"
            " leave one of the two out",
        )


def _rate_times_time(run: Run) -> Chain:
    if "time" not in run.given:
        raise run.given.missing("volume", "VTBI needs the bag's volume, or a rate and a time")
    time = run.given.need("time", "the time it runs over")
    per_hour = infusion.rate_in_ml_per_hour(run)
    hours = Chain.of(run, time)
    hours.turn(_HOURS)
    chain = Chain(run, per_hour, infusion.ML_PER_HOUR)
    chain.times(hours.number, "h", bag.ML)
    return chain


def _less_reserve(run: Run, full: Fraction) -> Fraction:
    reserve = run.given.text("reserve")
    if reserve is None:
        run.line("the whole bag, no reserve asked for", with_unit(full, "mL"))
        return full
    kept = _reserve(run, reserve, full)
    if kept >= full:
        raise CalculationError(
            "out_of_range",
            "reserve",
            f"read {quoted(reserve)}, which is all of the bag; accepted is less than {with_unit(full, 'mL')}",
        )
    left, text = full - kept, f"{with_unit(full, 'mL')} − {with_unit(kept, 'mL')}"
    if kept and run.may("whole_bag"):
        left, text = full, f"{with_unit(full, 'mL')}, reserve left out"
    elif kept and full > 2 * kept and run.may("reserve_twice"):
        left, text = full - 2 * kept, f"{text} − {with_unit(kept, 'mL')}"
    elif kept and run.may("reserve_added"):
        left, text = full + kept, f"{with_unit(full, 'mL')} + {with_unit(kept, 'mL')}"
    elif kept and run.may("reserve_itself"):
        left, text = kept, "the reserve itself"
    run.line(text, with_unit(left, "mL"))
    return left


def _reserve(run: Run, text: str, full: Fraction) -> Fraction:
    """The reserve in mL: "20 mL", "30 min" of flow, or "5 %" of the bag."""
    tidied = tidy(text)
    if tidied.endswith("%"):
        percent = read_number(tidied[:-1], "reserve").number
        _at_least_none(percent, text)
        kept = full * percent / 100
        run.line(f"{shown(percent)} % of {with_unit(full, 'mL')}", with_unit(kept, "mL"))
        return kept
    read = read_quantity(tidied, "reserve", "20 mL, 30 min or 5 %")
    if read.unit.kinds not in ("volume", "time"):
        raise CalculationError(
            "wrong_dimension",
            "reserve",
            f"read {quoted(text)}; accepted is a text such as 20 mL, 30 min or 5 %",
        )
    _at_least_none(read.number, text)
    return bag.in_ml(read) if read.unit.kinds == "volume" else _flow(run, read)


def _at_least_none(number: Fraction, text: str) -> None:
    if number < 0:
        raise CalculationError("out_of_range", "reserve", f"read {quoted(text)}; accepted is 0 or more")


def _flow(run: Run, time: Quantity) -> Fraction:
    """What flows in the reserve's minutes at the rate."""
    per_hour = infusion.rate_in_ml_per_hour(run)
    hours = time.number * factor(time.unit, _HOURS)
    text = f"{with_unit(per_hour, 'mL/h')} × {with_unit(time.number, time.unit.text)}"
    if hours.denominator == 1 or time.unit is _HOURS:
        kept = per_hour * hours
    elif run.may("time_base_left_out"):
        minutes = time.number * factor(time.unit, _MINUTES)
        kept, text = per_hour * minutes, f"{text}, min taken as h"
    else:
        kept = per_hour * hours
        text = f"{text} ÷ {shown(factor(_HOURS, time.unit))} {time.unit.text}/h"
    run.line(text, with_unit(kept, "mL"))
    return kept


def duration(run: Run) -> Chain:
    """How long the volume runs, in hours or `to`: the volume to be infused divided by the rate."""
    target = run.given.target() or _HOURS
    if target.kinds != "time":
        raise CalculationError("wrong_dimension", "to", f"read {target.text}; accepted is h or min")
    per_hour = infusion.rate_in_ml_per_hour(run)
    full = bag.final_volume(run)
    left = _less_reserve(run, full) if "reserve" in run.given else full
    if run.may("upside_down"):
        chain = Chain(run, per_hour, infusion.ML_PER_HOUR)
        chain.over(left, "mL", _HOURS)
    elif run.may("multiplied"):
        chain = Chain(run, left, bag.ML)
        chain.times(per_hour, "mL/h", _HOURS)
    else:
        chain = Chain(run, left, bag.ML)
        chain.over(per_hour, "mL/h", _HOURS)
    chain.turn(target)
    return chain


def dose_volume(run: Run) -> Chain:
    """The volume that holds one dose: the dose (times the weight) divided by the concentration."""
    target = run.given.target() or bag.ML
    if target.kinds != "volume":
        raise CalculationError("wrong_dimension", "to", f"read {target.text}; accepted is mL, tsp or L")
    dose = run.given.need("dose", "the ordered dose")
    kilograms = weight(run) if dose.unit.below("patient_mass") else None
    per_ml = bag.concentration(run, dose.unit.top)
    chain = infusion.dose_chain(run, dose, kilograms)
    _given_for(run, chain)
    infusion.into_volume(run, chain, per_ml)
    chain.turn(target)
    return chain


def _given_for(run: Run, chain: Chain) -> None:
    """A dose per hour given for some hours is an amount."""
    base = chain.unit.below("time")
    if base is None:
        return
    time = run.given.need("time", f"a dose per {base.shown} needs the time it is given for")
    span = Chain.of(run, time)
    span.turn(unit(base))
    chain.times(span.number, base.shown, unit(chain.unit.top, tuple(a for a in chain.unit.under if a is not base)))
