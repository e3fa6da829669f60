"""The command line. Its JSON lines are stable: others rely on them."""

import json
from collections.abc import Iterable
from decimal import Decimal
from typing import Any, BinaryIO, NoReturn

from calculators import benchmark, terminal
from calculators.asking import solve
from calculators.errors import CalculationError, quoted

NOT_JSON = 2
USAGE = """\
python -m calculators              reads JSON lines, writes one JSON line for each
python -m calculators --explain FIND NAME=VALUE ... [places=1] [mode=half_up] [step=0.5] [said="13.1 mL/h"]
python -m calculators --table from="2 mcg/kg/min" up_to="20 mcg/kg/min" by="2 mcg/kg/min" NAME=VALUE ...
python -m calculators --benchmark [CASES]           how well slips are told apart, over drawn cases

FIND is rate, dose_rate, concentration, vtbi, duration, drop_rate, dose_volume, convert or due. NAME is an input:
dose, weight, drug_amount, diluent_volume, additive_volume, additive_mode, concentration, volume, time, rate,
drop_factor, reserve, value, to, start, interval, zone, weight_factor, weight_places, max_rate, max_per_day, min_time.
"""


def main(arguments: list[str], source: BinaryIO, target: BinaryIO) -> int:
    """Run the command; returns the exit status (2 if a line was no JSON object or the call was not understood)."""
    try:
        if not arguments:
            return json_lines(source, target)
        if arguments[0] in ("--explain", "--table"):
            write = terminal.explain if arguments[0] == "--explain" else terminal.table
            text, status = write(arguments[1:])
        elif arguments[0] == "--benchmark" and all(a.isascii() and a.isdigit() for a in arguments[1:]):
            text, status = benchmark.printed(benchmark.measure(int("".join(arguments[1:2]) or "2000"))), 0
        else:
            text, status = USAGE, 0 if arguments[0] in ("--help", "-h") else NOT_JSON
        target.write(text.encode())
        target.flush()
    except BrokenPipeError:
        return 0
    return status


def json_lines(source: Iterable[bytes], target: BinaryIO) -> int:
    """One answer for each request, in order; a bad line gives an error line and the run goes on."""
    status = 0
    for line in source:
        if not line.strip():
            continue
        request = _request(line)
        if request is None:
            status = NOT_JSON
            read = quoted(line.decode(errors="replace").strip())
            error = CalculationError("not_json", "", f"read {read}; accepted is one JSON object a line")
            answer: dict[str, Any] = {"id": None, "error": error.as_dict()}
        else:
            answer = solve(request)
        target.write(_written(answer))
    target.flush()
    return status


def _request(line: bytes) -> dict[str, Any] | None:
    try:
        read = _DECODER.decode(line.decode().lstrip("\ufeff"))
    except (ValueError, RecursionError):
        return None
    return read if isinstance(read, dict) else None


def _no_constant(name: str) -> NoReturn:
    raise ValueError(name)


# One reader for the whole run: making one for each line costs more than the line.
_DECODER = json.JSONDecoder(parse_float=Decimal, parse_constant=_no_constant)


def _written(answer: dict[str, Any]) -> bytes:
    """The answer as a line. An id comes back as it was written, even a decimal number."""
    shown = answer.pop("id")
    try:
        first = _json(shown)
    except RecursionError:
        first = "null"
    rest = json.dumps(answer)
    return f'{{"id": {first}, {rest[1:]}\n'.encode()


def _json(value: object) -> str:
    if type(value) is int:
        return str(value)
    if isinstance(value, Decimal):
        return str(value)
    if isinstance(value, dict):
        return "{" + ", ".join(f"{json.dumps(name)}: {_json(one)}" for name, one in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(_json(one) for one in value) + "]"
    return json.dumps(value)
