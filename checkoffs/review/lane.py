"""The group's times beside one's own: when the middle half ended each section. Pure; names nobody.

Quartiles are those of ``statistics.quantiles(method="inclusive")`` (Hyndman and Fan's type 7).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from statistics import quantiles
from typing import Any

from checkoffs.attempts.ribbon import LEAST_FOR_LANE, Lane

Sections = Iterable[Mapping[str, Any]]


def section_ends(state: Mapping[str, Any], sections: Sections) -> dict[str, int]:
    """Section id → counted ms of its last mark that has a time of its own."""
    ends = {}
    for section in sections:
        times = [
            seen["at_ms"]
            for step in section["steps"]
            if (seen := state["steps"].get(step["id"], {})).get("at_ms") is not None and not seen["caught_up"]
        ]
        if times:
            ends[section["id"]] = max(times)
    return ends


def lane_of(group: Iterable[Mapping[str, int]]) -> Lane | None:
    """The lane of attempts given by their section ends; None for fewer than ten, which would show single people."""
    listed = [ends for ends in group if ends]
    if len(listed) < LEAST_FOR_LANE:
        return None
    names = {name for ends in listed for name in ends}
    boxes = {}
    for name in sorted(names):
        times = [ends[name] for ends in listed if name in ends]
        if len(times) >= LEAST_FOR_LANE:
            low, _, high = quantiles(times, n=4, method="inclusive")
            boxes[name] = (round(low), round(high))
    return Lane(boxes, len(listed))


def lane_sentence(own: Mapping[str, int], lane: Lane, sections: Sections) -> str:
    """Where one fell behind the group's middle half, in a sentence."""
    for section in sections:
        end, box = own.get(section["id"]), lane.ends.get(section["id"])
        if end is not None and box is not None and end > box[1]:
            return f"Section {section['letter']}, {section['title']}, put you behind the group’s middle half."
    return "You stayed with the group’s middle half, or ahead of it."
