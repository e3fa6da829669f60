"""Clock times: when an infusion ends and when a set, a bag or a preparation is due, across daylight-saving changes.

Hours run on the real clock: 8 h from 22:00 through a change of an hour end at 05:00 or 07:00 by the wall clock.
"""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from typing import Any
from zoneinfo import ZoneInfo

from calculators import volumes
from calculators.errors import CalculationError, quoted
from calculators.given import Given
from calculators.units import factor, named
from calculators.working import Run
from calculators.writing import shown, with_unit

_SECONDS, _HOURS = named("s"), named("h")
LONGEST_HOURS = 24 * 366


@dataclass(frozen=True, slots=True)
class Interval:
    """What published material says about an interval, in hours; None where it names no bound."""

    words: str
    least: int | None
    most: int | None
    source: str


# Intervals are the program's setting; these bounds only decide whether a setting earns a note.
KNOWN: dict[str, Interval] = {
    "continuous_set": Interval(
        "continuous set, no blood, no lipid", 96, 168, "CDC/HICPAC guideline 2011, as charted in training material"
    ),
    "intermittent_set": Interval("intermittent set", None, 24, "INS standards, as charted in training material"),
    "lipid": Interval("set for lipid", None, 24, "CDC/HICPAC guideline 2011; INS 2021 says 12 h for lipid alone"),
    "blood": Interval("blood, set and filter", None, 4, "CDC/HICPAC guideline 2011, as charted in training material"),
    "propofol": Interval(
        "propofol, with the vial", 6, 12, "CDC/HICPAC guideline 2011, as charted in training material"
    ),
    "beyond_use_room": Interval("beyond-use, category 1, room temperature", None, 12, "USP <797>, from memory"),
    "beyond_use_cold": Interval("beyond-use, category 1, refrigerated", None, 24, "USP <797>, from memory"),
    "immediate_use": Interval("immediate use, start of infusion", None, 4, "USP <797>, from memory"),
}


def due(given: Given) -> dict[str, Any]:
    """The answer to `due`: start + interval, or start + the time the volume runs."""
    start, zone = _start(given)
    run = Run(given)
    if "interval" in given:
        interval = given.need("interval", "the interval")
        seconds = interval.number * factor(interval.unit, _SECONDS)
        said = with_unit(interval.number, interval.unit.text)
    else:
        if "rate" not in given and "dose" not in given:
            raise given.missing("interval", "due needs an interval, or a volume and a rate")
        chain = volumes.duration(run)
        seconds = chain.number * factor(chain.unit, _SECONDS)
        said = with_unit(chain.number, chain.unit.text)
    _note(run, given.choice("item", tuple(KNOWN)), seconds * factor(_SECONDS, _HOURS))
    end = _after(start, zone, seconds)
    text = spoken(end, zone)
    run.line(f"{spoken(start, zone)} + {said}", text)
    return {
        "exact": end.isoformat(),
        "value": end.isoformat(timespec="seconds"),
        "unit": "",
        "text": text,
        "working": [f"{line} = {gives}" for line, gives in run.lines],
        "cautions": run.cautions + _crossing(start, end),
    }


def ends(given: Given, hours: Fraction) -> str:
    """When an infusion begun at `start` ends, as an ISO date-time."""
    start, zone = _start(given)
    return _after(start, zone, hours * 3600).isoformat(timespec="seconds")


def _note(run: Run, item: str | None, hours: Fraction) -> None:
    if item is None:
        return
    known = KNOWN[item]
    if known.least is not None and hours < known.least:
        run.caution(f"{known.words}: {shown(hours)} h is shorter than {known.least} h ({known.source})")
    if known.most is not None and hours > known.most:
        run.caution(f"{known.words}: {shown(hours)} h is longer than {known.most} h ({known.source})")


def _start(given: Given) -> tuple[datetime, ZoneInfo | None]:
    text, zone = given.text("start"), _zone(given.text("zone"))
    if text is None:
        raise given.missing("start", "needed as an ISO date-time, such as 2026-10-14T10:05")
    try:
        start = datetime.fromisoformat(text)
        if "T" not in text.upper() and " " not in text:
            raise ValueError
    except ValueError:
        raise CalculationError(
            "not_a_number", "start", f"read {quoted(text)}; accepted is an ISO date-time such as 2026-10-14T10:05"
        ) from None
    if not 1900 <= start.year <= 2200:
        raise CalculationError("out_of_range", "start", f"read {quoted(text)}; accepted are the years 1900 to 2200")
    return (start if zone is None else _placed(start, zone, text)), zone


def _zone(name: str | None) -> ZoneInfo | None:
    if name is None:
        return None
    try:
        return ZoneInfo(name)
    except (ValueError, OSError, KeyError):
        raise CalculationError(
            "unknown_value", "zone", f"read {quoted(name)}; accepted is an IANA name such as America/Chicago"
        ) from None


def _placed(start: datetime, zone: ZoneInfo, text: str) -> datetime:
    """The start in its zone. A wall time that never was, or was twice, is refused rather than guessed."""
    if start.tzinfo is not None:
        placed = start.astimezone(zone)
        if placed.utcoffset() != start.utcoffset():
            raise CalculationError(
                "conflict",
                "start",
                f"read {quoted(text)}, but {zone.key} is then at {placed:%z}; leave one of the two out",
            )
        return placed
    first, second = start.replace(tzinfo=zone, fold=0), start.replace(tzinfo=zone, fold=1)
    if first.utcoffset() == second.utcoffset():
        return first
    if first.astimezone(UTC).astimezone(zone).replace(tzinfo=None) != start:
        raise CalculationError(
            "out_of_range", "start", f"read {quoted(text)}: the clocks of {zone.key} skip this time; give another"
        )
    raise CalculationError(
        "conflict",
        "start",
        f"read {quoted(text)}: the clocks of {zone.key} show this time twice;"
        f" accepted is {first.isoformat(timespec='minutes')} or {second.isoformat(timespec='minutes')}",
    )


def _after(start: datetime, zone: ZoneInfo | None, seconds: Fraction) -> datetime:
    """To the nearest second, half up: finer than any clock on a ward."""
    if seconds > LONGEST_HOURS * 3600:
        raise CalculationError("out_of_range", "interval", "more than a year; accepted is up to 366 days")
    whole = timedelta(seconds=(2 * seconds.numerator + seconds.denominator) // (2 * seconds.denominator))
    if start.tzinfo is None:
        return start + whole
    return (start.astimezone(UTC) + whole).astimezone(zone or start.tzinfo)


def spoken(moment: datetime, zone: ZoneInfo | None) -> str:
    """ "2026-11-01 05:00 America/Chicago": the wall clock a person reads."""
    clock = moment.strftime("%Y-%m-%d %H:%M:%S" if moment.second else "%Y-%m-%d %H:%M")
    if zone is not None:
        return f"{clock} {moment.tzname()} ({zone.key})"
    return clock if moment.tzinfo is None else f"{clock} {moment:%z}"


def _crossing(start: datetime, end: datetime) -> list[str]:
    if start.utcoffset() == end.utcoffset():
        return []
    return [f"the clocks change on the way: {start:%z} at the start, {end:%z} at the end"]
