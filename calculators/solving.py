"""From a request to its answer: which calculation is asked for, one run through it, rounding, cautions."""

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from calculators import bag, doses, drops, infusion, limits, volumes
from calculators.errors import CalculationError, quoted
from calculators.given import Given
from calculators.rounding import Policy
from calculators.units import Unit
from calculators.working import Chain, Line, Run
from calculators.writing import decimal, with_unit

SOLVERS: dict[str, Callable[[Run], Chain]] = {
    "rate": infusion.rate,
    "dose_rate": doses.dose_rate,
    "concentration": doses.concentration,
    "vtbi": volumes.vtbi,
    "duration": volumes.duration,
    "drop_rate": drops.drop_rate,
    "dose_volume": volumes.dose_volume,
    "convert": doses.convert,
}
FINDS = (*SOLVERS, "due")
_WITH_DRUG = frozenset({"rate", "dose_rate", "concentration", "dose_volume", "convert"})


_TEN, _TENTH, _THOUSAND, _THOUSANDTH = Fraction(10), Fraction(1, 10), Fraction(1000), Fraction(1, 1000)


@dataclass(frozen=True, slots=True)
class Solved:
    """An answer: `number` exact, `rounded`, and as `value` and `text` (with unit); `lines` are (text, gives).

    `offered` are the slips this calculation invites.
    """

    number: Fraction
    rounded: Fraction
    value: str
    text: str
    unit: Unit
    lines: tuple[Line, ...]
    cautions: tuple[str, ...]
    offered: tuple[str, ...]


def run_through(find: str, given: Given, slips: frozenset[str] = frozenset(), policy: Policy | None = None) -> Solved:
    """Work out `find`, right or with the named slips. Raises CalculationError."""
    solver = SOLVERS.get(find)
    if solver is None:
        raise CalculationError("unknown_find", "find", f"read {quoted(find)}; accepted are {', '.join(FINDS)}")
    run = Run(given, slips)
    chain = solver(run)
    _at_the_end(run, chain, find)
    rounded = policy.apply(chain.number) if policy else chain.number
    value = decimal(rounded)
    grouped = value if -1000 < rounded.numerator < 1000 else decimal(rounded, True)
    text = f"{grouped} {chain.unit.text}"
    if policy:
        run.line(policy.short, text)
    if not slips:
        limits.caution(run, find, chain.number, rounded, chain.unit)
    return Solved(
        chain.number, rounded, value, text, chain.unit, tuple(run.lines), tuple(run.cautions), tuple(run.offered)
    )


def _at_the_end(run: Run, chain: Chain, find: str) -> None:
    """Slips that change the finished number."""
    if not chain.number:
        return
    if find in _WITH_DRUG and _counts_drug(chain, run):
        _shift(run, chain, "prefix_larger", _THOUSAND, "a thousand times too much, one prefix off")
        _shift(run, chain, "prefix_smaller", _THOUSANDTH, "a thousandth, one prefix off")
    _shift(run, chain, "tenfold_up", _TEN, "decimal point one place to the right")
    _shift(run, chain, "tenfold_down", _TENTH, "decimal point one place to the left")
    if find in ("rate", "drop_rate", "dose_volume") and run.may("upside_down"):
        _becomes(run, chain, 1 / chain.number, "divided the other way round")
    if find == "rate" and bag.has_volume(run) and run.may("vtbi_for_rate"):
        _becomes(run, chain, volumes.vtbi(Run(run.given)).number, "the volume to be infused, told as the rate")
    if find == "vtbi" and run.may("rate_for_vtbi"):
        _becomes(
            run, chain, infusion.rate_in_ml_per_hour(Run(run.given)), "the rate, told as the volume to be infused"
        )


def _counts_drug(chain: Chain, run: Run) -> bool:
    return bag.has_concentration(run) or chain.unit.top.kind.startswith("drug") or "dose" in run.given


def _shift(run: Run, chain: Chain, slip: str, by: Fraction, text: str) -> None:
    if run.may(slip):
        _becomes(run, chain, chain.number * by, text)


def _becomes(run: Run, chain: Chain, number: Fraction, text: str) -> None:
    chain.number = number
    run.line(text, with_unit(number, chain.unit.text))
