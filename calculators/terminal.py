"""For people at a terminal: one problem explained in words, and a titration table."""

import textwrap
from typing import Any

from calculators.asking import solve
from calculators.errors import CalculationError, quoted
from calculators.limits import GENERAL
from calculators.rounding import Policy, read_policy
from calculators.tables import Row, titration

WIDTH = 88
NOT_DONE = 2
_ROUNDING = ("places", "mode", "step")


def explain(arguments: list[str]) -> tuple[str, int]:
    """The text for `--explain FIND NAME=VALUE ...` and the exit status."""
    find, *pairs = arguments or [""]
    try:
        given = _pairs(pairs)
        request = {"find": find, "given": given, **_rounding(given)}
        if (said := given.pop("said", None)) is not None:
            request["said"] = said
    except CalculationError as error:
        return _refused(error.as_dict()), NOT_DONE
    answer = solve(request)
    if "error" in answer:
        return _refused(answer["error"]), NOT_DONE
    parts = [
        _title(find, answer),
        _inputs(given),
        _steps(answer["working"]),
        _verdict(answer),
        _cautions(answer["cautions"]),
    ]
    return "\n\n".join(part for part in parts if part) + "\n", 0


def table(arguments: list[str]) -> tuple[str, int]:
    """The text for `--table from=… up_to=… by=… NAME=VALUE ...` and the exit status."""
    try:
        given = _pairs(arguments)
        rounding = _rounding(given).get("rounding", {"places": "1"})
        ends = [given.pop(name, "") for name in ("from", "up_to", "by")]
        policy = read_policy(rounding)
        rows = titration(ends[0], ends[1], ends[2], given, rounding)
    except CalculationError as error:
        return _refused(error.as_dict()), NOT_DONE
    cautions = sorted({caution for row in rows for caution in row.cautions if not caution.startswith("limit")})
    parts = [_inputs(given), _rows(rows, policy), _cautions(cautions)]
    return "\n\n".join(part for part in parts if part) + "\n", 0


def _pairs(arguments: list[str]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for argument in arguments:
        name, equals, value = argument.partition("=")
        if not equals or name in found:
            raise CalculationError(
                "unknown_value", name[:40], f"read {quoted(argument)}; accepted is each input once, as name=value"
            )
        found[name] = value
    return found


def _rounding(given: dict[str, Any]) -> dict[str, Any]:
    found = {name: given.pop(name) for name in _ROUNDING if name in given}
    return {"rounding": found} if found else {}


def _refused(error: dict[str, str]) -> str:
    lead = f"{error['field']}: " if error["field"] else ""
    return textwrap.fill(f"Not computed ({error['code']}). {lead}{error['message']}", WIDTH) + "\n"


def _title(find: str, answer: dict[str, Any]) -> str:
    ends = f", ends {answer['ends']}" if "ends" in answer else ""
    line = f"{find.replace('_', ' ')}: {answer['text']}{ends}"
    return f"{line}\n{'=' * len(line)}"


def _inputs(given: dict[str, Any]) -> str:
    wide = max((len(name) for name in given), default=0)
    return "\n".join(f"  {name.replace('_', ' '):<{wide}}  {value}" for name, value in given.items())


def _steps(working: list[str]) -> str:
    steps = [line.rpartition(" = ") for line in working]
    wide = min(max((len(left) for left, _, _ in steps), default=0), WIDTH - 24)
    return "Working\n" + "\n".join(f"  {left:<{wide}}  = {gives}" for left, _, gives in steps)


def _verdict(answer: dict[str, Any]) -> str:
    verdict = answer.get("verdict")
    if verdict is None:
        return ""
    lines = [f"Said: {verdict['code'].replace('_', ' ')} ({verdict['why']})"]
    lines += [f"  notation: {fault}" for fault in verdict["notation"]]
    lines += [
        f"  likely: {slip['text']}, which gives {slip['value']} (fit {slip['fit']})" for slip in verdict["slips"]
    ]
    return "\n".join(lines)


def _rows(rows: list[Row], policy: Policy) -> str:
    doses, rates = [row.dose for row in rows], [row.rate for row in rows]
    left, right = max(len("dose"), *map(len, doses)), max(len("rate"), *map(len, rates))
    lines = [f"  {'dose':>{left}}  {'rate':>{right}}", f"  {'-' * left}  {'-' * right}"]
    for row in rows:
        over = "  " + next((c for c in row.cautions if c.startswith("limit")), "")
        lines.append(f"  {row.dose:>{left}}  {row.rate:>{right}}{over}".rstrip())
    return "\n".join([*lines, "", f"  rates {policy.words}, each from the exact concentration"])


def _cautions(cautions: list[str]) -> str:
    lines = [textwrap.fill(f"Caution: {text}", WIDTH) for text in [*cautions, GENERAL]]
    return "\n".join(lines)
