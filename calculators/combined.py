"""Problems of two parts: a new bag at the same dose, a bolus and then an infusion, a piggyback on a primary line."""

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from calculators import bag, times
from calculators.errors import CalculationError, quoted
from calculators.given import Given
from calculators.infusion import ML_PER_HOUR
from calculators.rounding import Policy, read_policy
from calculators.solving import Solved, run_through
from calculators.units import factor, named, unit
from calculators.working import Chain, Run
from calculators.writing import decimal, with_unit

_HOURS = named("h")


def new_bag(request: Mapping[str, Any]) -> dict[str, Any]:
    """The rate that keeps the dose when the next bag has another concentration.

    {"rate": "12 mL/h", "old": {bag inputs}, "new": {bag inputs}, "rounding"?}. Answers and errors as from `solve`.
    """
    return _answered(request, _new_bag)


def bolus_and_continuous(request: Mapping[str, Any]) -> dict[str, Any]:
    """A bolus, then an infusion: {"bolus": {inputs of a dose volume}, "continuous": {inputs of a rate}, "time"?}.

    Answers {"bolus", "continuous", "total"?}: the volume of the bolus, the rate, and with `time` the volume of both.
    """
    return _answered(request, _bolus_and_continuous)


def piggyback(request: Mapping[str, Any]) -> dict[str, Any]:
    """A secondary bag that interrupts the primary one.

    {"secondary": {volume, time or rate}, "primary": {volume, rate, start?, zone?}, "rounding"?}. Answers
    {"secondary", "secondary_time", "primary_time", "whole_time", "ends"?}: the secondary's rate as the pump is set,
    how long each bag runs, and when both are through.
    """
    return _answered(request, _piggyback)


def _answered(request: Mapping[str, Any], work: Any) -> dict[str, Any]:
    try:
        if not isinstance(request, Mapping):
            raise CalculationError("missing", "given", f"read {quoted(request)}; accepted is an object")
        written = request.get("rounding")
        answer: dict[str, Any] = work(request, None if written is None else read_policy(written))
    except CalculationError as error:
        return {"error": error.as_dict()}
    return answer


def _part(request: Mapping[str, Any], name: str) -> Mapping[str, Any]:
    found = request.get(name)
    if not isinstance(found, Mapping):
        raise CalculationError("missing", name, f"read {quoted(found)}; accepted is an object of inputs")
    return found


def _within(name: str, find: str, given: Mapping[str, Any], policy: Policy | None) -> Solved:
    """One part solved; an error names the part before the field."""
    try:
        return run_through(find, Given(given), policy=policy)
    except CalculationError as error:
        raise CalculationError(error.code, f"{name}.{error.field}", error.message) from None


def _printed(solved: Solved) -> dict[str, Any]:
    return {
        "exact": str(solved.number),
        "value": solved.value,
        "unit": solved.unit.text,
        "text": solved.text,
        "working": [f"{text} = {gives}" for text, gives in solved.lines],
        "cautions": list(solved.cautions),
    }


def _new_bag(request: Mapping[str, Any], policy: Policy | None) -> dict[str, Any]:
    old, new = _part(request, "old"), _part(request, "new")
    run = Run(Given({**old, "rate": request.get("rate")}))
    rate = run.given.need("rate", "the rate of the old bag")
    before = bag.concentration(run)
    after_run = Run(Given(new), lines=run.lines)
    after = bag.concentration(after_run, before.unit.top)
    chain = Chain.of(run, rate)
    chain.turn(ML_PER_HOUR)
    chain.times(before.number, before.unit.text, unit(before.unit.top, ML_PER_HOUR.under))
    chain.step(f"÷ {after.text}", chain.number / after.number, ML_PER_HOUR)
    rounded = policy.apply(chain.number) if policy else chain.number
    text = f"{decimal(rounded, True)} {chain.unit.text}"
    if policy:
        run.line(policy.short, text)
    return _printed(Solved(chain.number, rounded, decimal(rounded), text, chain.unit, tuple(run.lines), (), ()))


def _bolus_and_continuous(request: Mapping[str, Any], policy: Policy | None) -> dict[str, Any]:
    bolus = _within("bolus", "dose_volume", _part(request, "bolus"), policy)
    continuous = _within("continuous", "rate", _part(request, "continuous"), policy)
    answer = {"bolus": _printed(bolus), "continuous": _printed(continuous)}
    if request.get("time") is None:
        return answer
    time = Given({"time": request["time"]}).need("time", "the time the infusion runs")
    hours = time.number * factor(time.unit, _HOURS)
    total = (
        bolus.number * factor(bolus.unit, bag.ML) + continuous.number * factor(continuous.unit, ML_PER_HOUR) * hours
    )
    both = f"{with_unit(bolus.number, bolus.unit.text)} + {with_unit(continuous.number, continuous.unit.text)}"
    text = with_unit(total, "mL")
    answer["total"] = {"exact": str(total), "text": text, "working": [f"{both} × {time.plain} = {text}"]}
    return answer


def _piggyback(request: Mapping[str, Any], policy: Policy | None) -> dict[str, Any]:
    second = _part(request, "secondary")
    rate = _within("secondary", "rate", second, policy)
    first = _part(request, "primary")
    if not rate.rounded:
        raise CalculationError("out_of_range", "rounding", "the rate rounds to nothing; accepted is a finer rounding")
    short = bag.final_volume(Run(Given(second))) / (rate.rounded * factor(rate.unit, ML_PER_HOUR))
    long = _hours("primary", first)
    answer = {
        "secondary": _printed(rate),
        "secondary_time": with_unit(short, "h"),
        "primary_time": with_unit(long, "h"),
        "whole_time": with_unit(short + long, "h"),
    }
    if first.get("start") is not None:
        answer["ends"] = times.ends(Given(first), short + long)
    return answer


def _hours(name: str, given: Mapping[str, Any]) -> Fraction:
    solved = _within(name, "duration", given, None)
    return solved.number * factor(solved.unit, _HOURS)
