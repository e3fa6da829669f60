"""Gravity drips: drops per minute from a rate and the drop factor of the set, and seconds per drop."""

from fractions import Fraction

from calculators import infusion
from calculators.errors import CalculationError
from calculators.rounding import Policy
from calculators.units import ATOMS, factor, named, unit
from calculators.working import Chain, Run
from calculators.writing import shown, with_unit

USUAL = (10, 15, 20, 60)
_GTT = ATOMS["gtt"]
_GTT_PER_HOUR = named("gtt/h")
_SECONDS_PER_DROP = named("s/gtt")


def drop_rate(run: Run) -> Chain:
    """Drops per minute (or `to`: gtt/h, s/gtt)."""
    target = run.given.target() or infusion.DROPS_PER_MINUTE
    if target.kinds not in ("drops/time", "time/drops"):
        raise CalculationError("wrong_dimension", "to", f"read {target.text}; accepted is gtt/min or s/gtt")
    by_drops = target if target.kinds == "drops/time" else infusion.DROPS_PER_MINUTE
    drops = run.given.drop_factor()
    if drops not in USUAL:
        run.caution(f"unusual drop factor {shown(drops)} gtt/mL; usual are 10, 15, 20 and 60 (common practice)")
    chain = Chain(run, _rate(run), infusion.ML_PER_HOUR)
    if run.may("ml_per_hour_for_drops"):
        chain.kept("mL/h told as gtt/min", by_drops)
    else:
        _drip(run, chain, drops)
        chain.turn(by_drops)
    return chain if target is by_drops else _spacing(run, chain, target.text)


def _rate(run: Run) -> Fraction:
    infusion.agree(run)
    per_hour = infusion.rate_in_ml_per_hour(run)
    if per_hour.denominator != 1 and run.may("rate_rounded_first"):
        per_hour = Policy(Fraction(1)).apply(per_hour)
        run.line("rate rounded on the way", with_unit(per_hour, "mL/h"))
    return per_hour


def _drip(run: Run, chain: Chain, drops: Fraction) -> None:
    for other in USUAL:
        if other != drops and run.may(f"wrong_drop_factor:{other}"):
            chain.times(Fraction(other), "gtt/mL", _GTT_PER_HOUR)
            return
    if run.may("drop_factor_left_out"):
        chain.kept(f"× {shown(drops)} gtt/mL left out", _GTT_PER_HOUR)
    elif run.may("drop_factor_divided"):
        chain.over(drops, "gtt/mL", _GTT_PER_HOUR)
    else:
        chain.times(drops, "gtt/mL", _GTT_PER_HOUR)


def _spacing(run: Run, chain: Chain, text: str) -> Chain:
    """The time from one drop to the next: 60 s divided by the drops in a minute."""
    apart = 1 / chain.number
    minutes = unit(ATOMS["min"], (_GTT,))
    run.line(f"1 min ÷ {with_unit(chain.number, 'gtt')}", with_unit(apart, minutes.text))
    spaced = Chain(run, apart, minutes, follows=True)
    seconds = _SECONDS_PER_DROP if text == "s/gtt" else minutes
    if factor(minutes, seconds) != 1:
        spaced.turn(seconds)
    return spaced
