"""Limits and plausibility: every limit of the case is checked, for the exact rate and again for the rounded one."""

from fractions import Fraction

from calculators import bag, infusion
from calculators.errors import CalculationError
from calculators.patient import weight
from calculators.reading import Quantity
from calculators.units import Unit, factor, named, unit
from calculators.working import Run
from calculators.writing import decimal, with_unit

GENERAL = (
    "Values are for a training case. Facility policy, the product label, the pharmacist and licensed judgement"
    " decide; high-alert infusions need an independent double check."
)
DOUBLE_CHECK = "high-alert infusion: independent double check before it starts"
# What a volumetric pump usually takes, common practice; a procedure can be stricter with max_rate.
FASTEST = 999
MOST_DROPS = 200
_DAY = named("mL/day")
_HOURS = named("h")


def caution(run: Run, find: str, number: Fraction, rounded: Fraction, answered: Unit) -> None:
    """Add to `run.cautions` what a person should look at twice before using this answer."""
    if find in ("rate", "dose_rate", "drop_rate", "duration"):
        _limits(run, find, number, rounded, answered)
    if answered.kinds == "volume/time":
        plain = answered is infusion.ML_PER_HOUR
        per_hour = rounded if plain else rounded * factor(answered, infusion.ML_PER_HOUR)
        if 10 * per_hour.numerator < per_hour.denominator or per_hour > FASTEST:
            run.caution(f"implausible: {decimal(per_hour, True)} mL/h is outside what a pump takes (0.1 to 999 mL/h)")
    if answered.kinds == "drops/time" and rounded * factor(answered, infusion.DROPS_PER_MINUTE) > MOST_DROPS:
        run.caution(f"implausible: {with_unit(rounded, answered.text)} cannot be counted")
    weighed = answered.kinds.endswith("/patient_mass/time") and answered.top.kind != "volume"
    if find != "convert" and (weighed or _high_alert(run)):
        run.caution(DOUBLE_CHECK)


def _high_alert(run: Run) -> bool:
    """Drug units, ion equivalents, a dose per kilogram and time: how most high-alert infusions are ordered."""
    for name in ("dose", "drug_amount", "concentration"):
        found = run.given.quantity(name)
        if found and found.unit.top.kind in ("drug_units", "equivalents"):
            return True
        if name == "dose" and found and found.unit.kinds.endswith("/patient_mass/time"):
            return True
    return False


def _limits(run: Run, find: str, number: Fraction, rounded: Fraction, answered: Unit) -> None:
    if not run.given.limited:
        return
    quiet = Run(run.given)
    if find == "rate" and answered.kinds == "volume/time":
        by = factor(answered, infusion.ML_PER_HOUR)
        rates = [number * by, rounded * by]
    else:
        rates = [infusion.rate_in_ml_per_hour(quiet)]
    for name, check in (("max_rate", _rate_cap), ("max_per_day", _daily_cap), ("min_time", _too_fast)):
        limit = run.given.quantity(name)
        if limit is None:
            continue
        said = next((said for rate in rates if (said := check(run, limit, rate))), None)
        if said:
            late = check(run, limit, rates[0]) is None
            run.caution(f"limit exceeded{' once rounded' if late else ''}: {said}")


def _rate_cap(run: Run, limit: Quantity, per_hour: Fraction) -> str | None:
    flow = _in(run, per_hour, limit.unit)
    if flow <= limit.number:
        return None
    return f"{with_unit(flow, limit.unit.text)} is above max_rate {limit.text}"


def _daily_cap(run: Run, limit: Quantity, per_hour: Fraction) -> str | None:
    timed = limit.unit.below("time")
    daily = limit.unit if timed else unit(limit.unit.top, (*limit.unit.under, _DAY.under[0]))
    flow = _in(run, per_hour, daily)
    if flow <= limit.number:
        return None
    per_day = flow * 24 * factor(unit(_HOURS.top), unit(timed)) if timed else flow
    amount = "/".join([daily.top.shown, *(a.shown for a in daily.under if a.kind != "time")])
    return f"{with_unit(per_day, amount)} in 24 h is above max_per_day {limit.text}"


def _too_fast(run: Run, limit: Quantity, per_hour: Fraction) -> str | None:
    quiet = Run(run.given)
    dose = run.given.quantity("dose")
    if dose is not None and not dose.unit.below("time") and bag.has_concentration(quiet):
        volume = infusion.dose_chain(quiet, dose, weight(quiet) if dose.unit.below("patient_mass") else None)
        infusion.into_volume(quiet, volume, bag.concentration(quiet, dose.unit.top))
        amount = volume.number
    elif bag.has_volume(quiet):
        amount = bag.final_volume(quiet)
    else:
        raise CalculationError("missing", "volume", "read nothing; min_time needs the volume that runs")
    hours = amount / per_hour * factor(_HOURS, limit.unit)
    return None if hours >= limit.number else f"{with_unit(hours, limit.unit.text)} is below min_time {limit.text}"


def _in(run: Run, per_hour: Fraction, target: Unit) -> Fraction:
    """The flow in the limit's own unit: mL/h, drops or drug, per kilogram or not."""
    quiet = Run(run.given)
    flow, here = per_hour, infusion.ML_PER_HOUR
    if target.top.kind == "drops":
        flow, here = flow * run.given.drop_factor(), named("gtt/h")
    elif target.top.kind != "volume":
        per_ml = bag.concentration(quiet, target.top)
        flow, here = flow * per_ml.number, unit(target.top, here.under)
    if (kilogram := target.below("patient_mass")) is not None:
        flow, here = flow / weight(quiet), unit(here.top, (kilogram, *here.under))
    return flow * factor(here, target)
