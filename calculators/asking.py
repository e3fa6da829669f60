"""One request of the command line or of a caller: solved, or refused with a reason, never raising."""

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from calculators import times
from calculators.errors import CalculationError, quoted
from calculators.given import Given
from calculators.keys import answer_key
from calculators.reading import split_said
from calculators.rounding import MOST_PLACES, read_policy
from calculators.solving import FINDS, Solved, run_through
from calculators.units import factor, named
from calculators.verdicts import verify

HOURS = named("h")


def solve(request: Mapping[str, Any]) -> dict[str, Any]:
    """The answer to a request, or {"id", "error": {"code", "field", "message"}}.

    Request: {"id", "find", "given": {name: text}, "rounding"?, "said"?}, as in the command line.
    Every number in the answer is a text. Faults of notation in the inputs, if any, stand under "notation".
    """
    answer: dict[str, Any] = {"id": request.get("id") if isinstance(request, Mapping) else None}
    try:
        answer.update(_answer(request))
    except CalculationError as error:
        answer["error"] = error.as_dict()
    return answer


def _answer(request: Mapping[str, Any]) -> dict[str, Any]:
    if not isinstance(request, Mapping):
        raise CalculationError("not_json", "", f"read {quoted(request)}; accepted is one JSON object")
    find = request.get("find")
    if find not in FINDS:
        raise CalculationError("unknown_find", "find", f"read {quoted(find)}; accepted are {', '.join(FINDS)}")
    given = Given(request.get("given"))
    if find == "due":
        return times.due(given)
    written = request.get("rounding")
    policy = None if written is None else read_policy(written)
    solved = run_through(find, given, policy=policy)
    answer = _printed(solved)
    if given.faults:
        answer["notation"] = [f"{name}: {fault}" for name, faults in given.faults.items() for fault in faults]
    if find == "duration" and "start" in given:
        answer["ends"] = times.ends(given, solved.number * factor(solved.unit, HOURS))
    if request.get("said") is not None:
        answer["verdict"] = _verdict(request, solved)
    return answer


def _printed(solved: Solved) -> dict[str, Any]:
    return {
        "exact": str(solved.number),
        "value": solved.value,
        "unit": solved.unit.text,
        "text": solved.text,
        "working": [f"{text} = {gives}" for text, gives in solved.lines],
        "cautions": list(solved.cautions),
    }


def _verdict(request: Mapping[str, Any], solved: Solved) -> dict[str, Any]:
    said = request["said"]
    if not isinstance(said, str):
        raise CalculationError("not_a_number", "said", f"read {quoted(said)}; accepted is a text such as “12.5 mL/h”")
    return verdict_on(request, solved, said)


def verdict_on(request: Mapping[str, Any], solved: Solved, said: str) -> dict[str, Any]:
    """The verdict on "12.5 mL/hr" written as one text.

    Without a rounding in the request the exact value is right, and the exact value rounded to the places
    that were said is right by another rounding, as long as it stays within 5 % of it.
    """
    number, unit, decimals = split_said(said)
    check = {name: value for name, value in request.items() if name != "said"}
    if request.get("rounding") is not None:
        return verify(answer_key(check), number, unit)
    key = answer_key({**check, "rounding": {"places": min(decimals, MOST_PLACES)}})
    rounded = Fraction(key["expected"])
    if rounded != solved.number:
        near = rounded and abs(rounded - solved.number) * 20 <= abs(solved.number)
        key["accepted"] = (
            [{**key["accepted"][0], "verdict": "right_other_rounding"}, *key["accepted"][1:]] if near else []
        )
    return verify(key, number, unit)
