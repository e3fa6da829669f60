"""The ribbon of an attempt as SVG: one sheet, two sheets, or a paper sheet without times. Pure.

    draw(state, rule)                          full, screen
    draw(state, rule, size="compact")          page heads and phones: no axis, no hooks
    draw(state, rule, for_paper=True)          colours written out, for a PDF
    draw(state, rule, second=Second(...))      both sheets on one scale, once both are signed
    describe(state, rule)                      the same in sentences, for people who do not see it

``state`` is SheetState.as_dict(), ``rule`` the scoring rule document, times in counted ms.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from checkoffs.attempts import ribbon_scale as scale
from checkoffs.attempts import ribbon_strokes as strokes
from checkoffs.attempts.ribbon_data import Section, Strip, read_strip, whole_limit
from checkoffs.attempts.ribbon_paint import Shape, n, path, rect, svg, words
from checkoffs.attempts.ribbon_words import sentences

LEAST_FOR_LANE = 10  # a group smaller than this would show single people


@dataclass(frozen=True)
class Second:
    """A second sheet: its state, how much later it began, and the ids of the steps on which the sheets differ."""

    state: Mapping[str, Any]
    offset_ms: int
    differs: Sequence[str] = ()


@dataclass(frozen=True)
class Lane:
    """The group's middle half: section id -> (25th, 75th percentile of its end, ms), from ``attempts`` attempts."""

    ends: Mapping[str, tuple[int, int]]
    attempts: int


def draw(
    state: Mapping[str, Any],
    rule: Mapping[str, Any],
    *,
    width: float = 720,
    size: str = "full",
    limit_ms: int | None = None,
    now_ms: int | None = None,
    label: str = "Ribbon of the attempt",
    rehearsal: bool = False,
    second: Second | None = None,
    lane: Lane | None = None,
    for_paper: bool = False,
) -> str:
    """The SVG. ``limit_ms`` is the limit after an accommodation; left out, the rule's own limit is drawn."""
    strip = read_strip(state, rule, limit_ms or whole_limit(rule), now_ms)
    compact = size == "compact"
    outer = "ribbon" + (" compact" if compact else "")
    if strip.now_ms is None:
        shapes, height = list(untimed(strip, width)), 92.0
    elif second is not None and second.state["counted_ms"] is not None:
        shapes, height = _two(strip, second, rule, width)
    else:
        frame = scale.Frame(width, compact, axis=not compact)
        end = scale.scale_end(strip.limit_ms, strip.now_ms)
        shapes = list(timed(frame, strip, end, rehearsal))
        height = frame.bottom + (2 if compact else 0)
        if lane is not None and lane.attempts >= LEAST_FOR_LANE and not rehearsal and not compact:
            shapes += compare(frame, strip, lane, end)
            height = frame.bottom + 22
    return svg(shapes, width, height, label, outer, for_paper)


def describe(
    state: Mapping[str, Any],
    rule: Mapping[str, Any],
    *,
    limit_ms: int | None = None,
    titles: Mapping[str, str] | None = None,
) -> list[str]:
    """What the ribbon shows, in sentences. ``titles``: section id -> title."""
    return sentences(read_strip(state, rule, limit_ms or whole_limit(rule)), titles or {})


def timed(frame: scale.Frame, strip: Strip, end_ms: int, outline: bool = False, offset: int = 0) -> Iterator[Shape]:
    """One strip on a time scale, everything moved right by ``offset`` ms."""
    x, now, limit = scale.place(frame, end_ms), (strip.now_ms or 0) + offset, strip.limit_ms
    over = limit is not None and now > limit
    yield from scale.channel(frame, x, end_ms, limit)
    if frame.axis:
        yield from scale.axis(frame, x, end_ms, limit, now)
    yield from strokes.band(frame, x, strip.segments, outline, offset)
    yield from strokes.seams(frame, x, strip.seams, offset)
    for mark in sorted((m for m in strip.ticks if m.at_ms is not None), key=lambda m: m.at_ms or 0):
        yield from strokes.tick(frame, x((mark.at_ms or 0) + offset), mark, outline)
    for at in strip.prompts:
        yield from strokes.prompt_flag(frame, x(at + offset))
    yield from strokes.breach_flags(frame, [x(at + offset) for at in strip.breaches])
    if limit is not None:
        yield from strokes.limit_bar(frame, x(limit), over)
    if strip.running:
        yield from strokes.needle(frame, x(now))
    elif now != limit:
        yield strokes.finish_bar(frame, x(now))


def untimed(strip: Strip, width: float) -> Iterator[Shape]:
    """Keyed from paper: no scale. Broken outline, a section as wide as it has steps, ticks in list order."""
    frame = scale.Frame(width, compact=False, axis=True)
    unit = (width - 2 * scale.LEFT) / max(1, sum(section.steps for section in strip.sections))
    at = 0
    for turn, section in enumerate(strip.sections):
        x0 = scale.LEFT + at * unit
        look = f"{'odd' if turn % 2 else 'even'} line broken"
        yield rect(f"rb-seg {look}", x0, frame.by + 0.5, section.steps * unit, frame.band - 1)
        middle = x0 + section.steps * unit / 2
        yield words(f"rb-let {look}", middle, frame.by + frame.band / 2 + 4.2, section.letter, 12, "middle")
        yield from _list_order(frame, section, at, unit)
        at += section.steps
    yield words("rb-ax", scale.LEFT, frame.text_y, "no times: list order, one tick a step", 12)


def _list_order(frame: scale.Frame, section: Section, before: int, unit: float) -> Iterator[Shape]:
    for mark in section.ticks:
        x = scale.LEFT + (before + section.places[mark.step or ""] + 0.5) * unit
        yield from strokes.tick(frame, x, mark, outline=True)
        if mark.breach:
            yield from strokes.breach_flags(frame, [x])


def compare(frame: scale.Frame, strip: Strip, lane: Lane, end_ms: int) -> Iterator[Shape]:
    """For each section the group's middle half as a box, and this attempt's end as a stroke dropped from the band."""
    x, y = scale.place(frame, end_ms), frame.bottom + 2
    yield path("rb-gbase", f"M{n(scale.LEFT)} {n(y + 7)}H{n(x(end_ms))}")
    for section in strip.sections:
        if section.id not in lane.ends or section.end_ms is None:
            continue
        low, high = lane.ends[section.id]
        own = x(section.end_ms)
        inside = low <= section.end_ms <= high
        yield path("rb-gl", f"M{n(own)} {n(frame.base)}V{n(y + 15)}")
        yield rect("rb-g", x(low), y, x(min(high, end_ms)) - x(low), 14)
        place = x(min(high, end_ms)) + 4 if inside else (x(low) + x(min(high, end_ms))) / 2
        yield words("rb-gt", place, y + 11, section.letter, 11, "start" if inside else "middle")
        yield path("rb-gm", f"M{n(own)} {n(y - 3)}V{n(y + 17)}")


def _two(first: Strip, second: Second, rule: Mapping[str, Any], width: float) -> tuple[list[Shape], float]:
    """Both sheets on the first one's scale; broken amber lines join the steps that differ."""
    other = read_strip(second.state, rule, first.limit_ms)
    latest = max(first.now_ms or 0, (other.now_ms or 0) + second.offset_ms)
    end = scale.scale_end(first.limit_ms, latest)
    upper = scale.Frame(width, compact=False, axis=False)
    lower = scale.Frame(width, compact=False, axis=True, y0=upper.bottom + 26)
    shapes = [*timed(upper, first, end), *timed(lower, other, end, offset=second.offset_ms)]
    return shapes + list(_joins(upper, lower, (first, other), second, end)), lower.bottom


def _joins(
    upper: scale.Frame, lower: scale.Frame, strips: tuple[Strip, Strip], second: Second, end: int
) -> Iterator[Shape]:
    x, y = scale.place(upper, end), upper.bottom + 17
    yield words("rb-name", 0, y, "Second sheet", 13)
    free = 84.0
    places = []
    for step in second.differs:
        marks = [next((t for t in s.ticks if t.step == step and t.at_ms is not None), None) for s in strips]
        mark = marks[0] or marks[1]
        if mark is not None:
            late = 0 if marks[0] else second.offset_ms
            places.append((x((mark.at_ms or 0) + late), mark))
    for at, mark in sorted(places, key=lambda place: place[0]):
        yield path("rb-join", f"M{n(at)} {n(upper.base + upper.down + 1)}V{n(lower.y0 + 1)}")
        for text in (
            f"{mark.number} differs, critical" if mark.critical else f"{mark.number} differs",
            f"{mark.number}",
        ):
            left, long = at + 6, 6.6 * len(text)
            if left > free and left + long < upper.width:
                yield words("rb-dif crit" if mark.critical else "rb-dif", left, y, text, 13)
                free = left + long
                break
