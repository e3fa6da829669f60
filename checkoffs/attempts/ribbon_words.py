"""A ribbon in sentences: the text alternative, in the order of what decides. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from checkoffs.attempts.ribbon_data import Strip, Tick
from checkoffs.attempts.ribbon_scale import clock

KINDS = [
    ("not_performed", "Not performed"),
    ("wrong", "Stated wrong"),
    ("said", "Said, not done"),
    ("not_observed", "Not observed"),
    ("prompted", "Done after a prompt"),
    ("self_corrected", "Self-corrected"),
    ("covered", "Said, still covered"),
]


def sentences(strip: Strip, titles: Mapping[str, str]) -> list[str]:
    """Time, sections, steps by mark, breaches, prompts, pauses, untimed steps."""
    return [*_time(strip), *_sections(strip, titles), *_steps(strip), *_flags(strip), *_untimed(strip)]


def listing(items: Sequence[str]) -> str:
    """`a`, `a and b`, `a, b and c`."""
    return items[0] if len(items) == 1 else f"{', '.join(items[:-1])} and {items[-1]}"


def _time(strip: Strip) -> Iterator[str]:
    if strip.now_ms is None:
        yield "Keyed from paper, no times."
        return
    of = f" of {clock(strip.limit_ms)}" if strip.limit_ms is not None else ", no time limit"
    yield f"{'Running' if strip.running else 'Ended'}, {clock(strip.now_ms)}{of}."
    if strip.limit_ms is not None and strip.now_ms > strip.limit_ms:
        yield f"Past the limit by {clock(strip.now_ms - strip.limit_ms)}."


def _sections(strip: Strip, titles: Mapping[str, str]) -> Iterator[str]:
    for section in strip.sections:
        if section.end_ms is not None and strip.now_ms is not None:
            name = f", {titles[section.id]}" if section.id in titles else ""
            yield f"Section {section.letter}{name}: last mark {clock(section.end_ms)}."


def _name(tick: Tick) -> str:
    what = f"{tick.number}" if tick.number is not None else "a stated value"
    return (
        what + (", critical" if tick.critical else "") + (f" ({clock(tick.at_ms)})" if tick.at_ms is not None else "")
    )


def _steps(strip: Strip) -> Iterator[str]:
    plain = sum(1 for tick in strip.ticks if tick.kind == "performed")
    if plain:
        yield f"{plain} performed."
    for kind, words in KINDS:
        found = [_name(tick) for tick in strip.ticks if tick.kind == kind]
        if found:
            yield f"{words}: {'; '.join(found)}."


def _flags(strip: Strip) -> Iterator[str]:
    for times, one, many in ((strip.breaches, "breach", "breaches"), (strip.prompts, "prompt", "prompts")):
        if times:
            yield f"{len(times)} {one if len(times) == 1 else many}: {listing([clock(at) for at in times])}."
    for seam in strip.seams:
        length = f"{clock(seam.length_ms)}" if seam.length_ms is not None else "for an unknown time"
        yield f"Paused {length} at {clock(seam.at_ms)}, {seam.reason}; not counted."


def _untimed(strip: Strip) -> Iterator[str]:
    if strip.now_ms is None:
        return
    late = [f"{tick.number}" for tick in strip.ticks if tick.at_ms is None and tick.number is not None]
    if late:
        yield (
            f"Without a time of its own: {listing(late)}."
            if len(late) == 1
            else f"Without times of their own: {listing(late)}."
        )
