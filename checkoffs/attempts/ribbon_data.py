"""What a ribbon shows, read from one folded sheet and its rule: ticks, sections, pauses, flags. Pure.

All times are counted milliseconds. Nothing here judges: a stated value that is still covered stays neutral, and a
verdict shows only as the fold, or a settlement in it, gives it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

SEEN = {"performed", "self_corrected", "prompted"}
RIGHT = {"right", "right_other_rounding"}


@dataclass(frozen=True)
class Tick:
    """One step's stroke. ``kind`` is a mark, or ``wrong`` or ``covered`` for a stated value; at_ms None = untimed."""

    step: str | None
    number: int | None
    kind: str
    critical: bool
    at_ms: int | None
    breach: bool = False


@dataclass(frozen=True)
class Section:
    """A section. ``places``: step id -> place in it; ``end_ms``: its last timed mark; ``open``: steps unmarked."""

    id: str
    letter: str
    ticks: tuple[Tick, ...]
    places: Mapping[str, int]
    end_ms: int | None
    open: int

    @property
    def steps(self) -> int:
        """How many steps it has."""
        return len(self.places)


@dataclass(frozen=True)
class Segment:
    """A stretch of the band; ``turn`` counts from 0, even is ink and odd is grey; ``current`` is still growing."""

    letter: str
    start_ms: int
    end_ms: int
    turn: int
    current: bool


@dataclass(frozen=True)
class Seam:
    """A pause that takes no counted time: where it lies and how long it was."""

    at_ms: int
    length_ms: int | None
    reason: str


@dataclass(frozen=True)
class Strip:
    """Everything one ribbon draws. ``now_ms`` None = keyed from paper without times; ``limit_ms`` None = no limit."""

    sections: tuple[Section, ...]
    segments: tuple[Segment, ...]
    loose: tuple[Tick, ...]
    seams: tuple[Seam, ...]
    breaches: tuple[int, ...]
    prompts: tuple[int, ...]
    now_ms: int | None
    limit_ms: int | None
    running: bool

    @property
    def ticks(self) -> tuple[Tick, ...]:
        """All ticks, list order first, then the stated values that belong to no step."""
        return tuple(tick for section in self.sections for tick in section.ticks) + self.loose


def letter(position: int) -> str:
    """A for the first section, Z for the 26th, then AA."""
    return (letter(position // 26 - 1) if position > 25 else "") + chr(65 + position % 26)


def whole_limit(rule: Mapping[str, Any]) -> int | None:
    """The limit on the whole attempt as the rule writes it, without anyone's accommodation."""
    for limit in rule.get("limits") or []:
        if limit["scope"] == "whole":
            return int(limit["limit_ms"])
    return None


def read_strip(
    state: Mapping[str, Any], rule: Mapping[str, Any], limit_ms: int | None, now_ms: int | None = None
) -> Strip:
    """The strip of one sheet. ``now_ms`` moves a running sheet's needle on between events."""
    running = state["status"] in ("running", "paused")
    now = state["finished_ms"] if state["finished_ms"] is not None else state["counted_ms"]
    if running and now is not None and now_ms is not None:
        now = max(now, now_ms)
    # Opening the tablet page before the start is a sheet at 0:00, not paper; paper has marks and no clock.
    if now is None and not any(step["mark"] for step in state["steps"].values()):
        now = 0
    sections = _sections(state, rule, running)
    return Strip(
        sections=sections,
        segments=() if now is None else _segments(sections, now, running),
        loose=tuple(_loose(state, rule, running)),
        seams=_seams(state),
        breaches=_times(state["breaches"]),
        prompts=_times(state["prompts"]),
        now_ms=now,
        limit_ms=limit_ms,
        running=running or state["status"] == "not_started",
    )


def _times(flags: list[Mapping[str, Any]]) -> tuple[int, ...]:
    return tuple(sorted(flag["at_ms"] for flag in flags if flag["at_ms"] is not None))


def _seams(state: Mapping[str, Any]) -> tuple[Seam, ...]:
    seams, left_out = [], 0
    for pause in state["pauses"]:
        if pause["counts"] or pause["from_ms"] is None:
            continue
        until = pause["to_ms"] if pause["to_ms"] is not None else state["raw_ms"]
        length = None if until is None else max(0, until - pause["from_ms"])
        seams.append(Seam(pause["from_ms"] - left_out, length, pause["reason"]))
        left_out += length or 0
    return tuple(seams)


def _sections(state: Mapping[str, Any], rule: Mapping[str, Any], running: bool) -> tuple[Section, ...]:
    checks: dict[str, list[Mapping[str, Any]]] = {}
    for check in rule.get("stated") or []:
        checks.setdefault(check.get("step") or "", []).append(check)
    broken = {breach["step"] for breach in state["breaches"] if breach["step"]}
    sections = []
    for position, section in enumerate(rule["sections"]):
        ticks = tuple(
            tick
            for step in section["steps"]
            if (tick := _tick(step, state, rule, checks.get(step, []), running, step in broken))
        )
        marks = [state["steps"][step] for step in section["steps"]]
        times = [m["at_ms"] for m in marks if m["mark"] and m["at_ms"] is not None and not m["caught_up"]]
        unmarked = sum(1 for m in marks if not m["mark"])
        sections.append(
            Section(
                section["id"],
                letter(position),
                ticks,
                {step: place for place, step in enumerate(section["steps"])},
                max(times, default=None),
                unmarked,
            )
        )
    return tuple(sections)


def _tick(
    step: str,
    state: Mapping[str, Any],
    rule: Mapping[str, Any],
    checks: list[Mapping[str, Any]],
    running: bool,
    breach: bool,
) -> Tick | None:
    known, fixed = state["steps"][step], rule["steps"][step]
    said = [(c, state["stated"][c["id"]]) for c in checks if (state["stated"].get(c["id"]) or {}).get("event")]
    kind = known["mark"]
    at = None if known["caught_up"] else known["at_ms"]
    if said and kind in {None, *SEEN}:
        standings = {_standing(check, value, state, running) for check, value in said}
        at = next((value["at_ms"] for _, value in said if value["at_ms"] is not None), at)
        kind = "covered" if "covered" in standings else "wrong" if "wrong" in standings else kind or "performed"
    if kind is None or kind == "not_applicable":
        return None
    critical = bool(fixed.get("critical")) or any(check.get("critical") for check, _ in said)
    return Tick(step, fixed["number"], kind, critical, at, breach)


def _standing(check: Mapping[str, Any], value: Mapping[str, Any], state: Mapping[str, Any], running: bool) -> str:
    """covered | right | wrong. While the attempt runs only opening the flap uncovers a verdict."""
    settled = state["settled"].get(f"stated:{check['id']}")
    if running and value["revealed_ms"] is None:
        return "covered"
    if settled:
        return "right" if settled["verdict"] == "right" else "wrong"
    if value["verdict"] is None:
        return "covered"
    code = value["verdict"]["code"]
    if code == "right_other_rounding" and check.get("grades_rounding"):
        return "wrong"
    if code == "missing_unit" and check.get("no_unit") == "accepted":
        return "right"
    return "right" if code in RIGHT else "wrong"


def _loose(state: Mapping[str, Any], rule: Mapping[str, Any], running: bool) -> list[Tick]:
    ticks = []
    for check in rule.get("stated") or []:
        value = state["stated"].get(check["id"])
        if check.get("step") or not value or not value["event"]:
            continue
        standing = _standing(check, value, state, running)
        kind = "performed" if standing == "right" else standing
        ticks.append(Tick(None, None, kind, bool(check.get("critical")), value["at_ms"]))
    return ticks


def _segments(sections: tuple[Section, ...], now: int, running: bool) -> tuple[Segment, ...]:
    """Sections in the order they ended, each from the last one's end to its own; the current one runs to now."""
    current = _current(sections) if running else None
    done = sorted((s for s in sections if s.end_ms is not None and s is not current), key=lambda s: s.end_ms or 0)
    segments: list[Segment] = []
    start = 0
    for section in done:
        end = min(max(section.end_ms or 0, start), now)
        if end > start:
            segments.append(Segment(section.letter, start, end, len(segments), False))
        start = end
    if current is not None and now > start:
        segments.append(Segment(current.letter, start, now, len(segments), True))
    elif current is None and segments and now > start:
        last = segments.pop()  # the last section's stretch reaches to the finish: its writing-up belongs to it
        segments.append(Segment(last.letter, last.start_ms, now, last.turn, False))
    return tuple(segments)


def _current(sections: tuple[Section, ...]) -> Section | None:
    """The section worked in: the latest touched while steps in it are open, then the next one with open steps."""
    if not sections:
        return None
    touched = [s for s in sections if s.end_ms is not None]
    latest = max(touched, key=lambda s: s.end_ms or 0) if touched else sections[0]
    if latest.open:
        return latest
    after = sections[sections.index(latest) + 1 :]
    return next((s for s in after if s.open), latest)
