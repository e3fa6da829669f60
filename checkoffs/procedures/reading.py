"""Reads a pasted or typed checklist as people have it into title, sections, steps and sub-points.

Nothing is dropped: what is no step, title or heading is handed back, line by line, as `unread`.
Pure: text in, `Reading` out.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from checkoffs.procedures.reading_body import Body, Segment, read_body
from checkoffs.procedures.reading_headings import NOT_STEPS, PHASES
from checkoffs.procedures.reading_lines import lines_of
from checkoffs.procedures.reading_marks import Signs, take_critical_signs
from checkoffs.procedures.reading_outline import Node

_DECORATION = frozenset({"before", "bold"})
_TITLE_WORDS = 14


@dataclass(frozen=True)
class ReadStep:
    """One step as understood; `subpoints` in reading order, deeper levels flattened."""

    text: str
    critical: bool
    subpoints: tuple[str, ...]


@dataclass(frozen=True)
class ReadSection:
    """A section; title "" for steps that stand under no heading."""

    title: str
    steps: tuple[ReadStep, ...]


@dataclass(frozen=True)
class Reading:
    """What was understood of a pasted checklist, and in `unread` every line or tick box that was not."""

    title: str
    sections: tuple[ReadSection, ...]
    unread: tuple[str, ...]

    def as_dict(self) -> dict[str, Any]:
        """Plain JSON shape: title, sections of steps with text, critical and sub-points, unread lines."""
        return {
            "title": self.title,
            "sections": [
                {
                    "title": section.title,
                    "steps": [
                        {"text": step.text, "critical": step.critical, "subpoints": list(step.subpoints)}
                        for step in section.steps
                    ],
                }
                for section in self.sections
            ],
            "unread": list(self.unread),
        }


@dataclass
class _Draft:
    title: str
    steps: list[tuple[Signs, tuple[str, ...]]]


def read(text: str) -> Reading:
    """Understand a checklist. Never fails on any text; an empty one gives an empty reading."""
    body = read_body(lines_of(text))
    title = _title(body)
    drafts: list[_Draft] = []
    numbered = any(node.marker.kind != "bullet" for segment in body.segments for node in segment.outline.tops)
    for segment in body.segments:
        _take_segment(segment, body, drafts, numbered)
    kept = [draft for draft in drafts if draft.steps]
    for draft in drafts:
        if not draft.steps:
            body.leave(0, draft.title)
    decoration = _decoration([signs for draft in kept for signs, _ in draft.steps])
    return Reading(
        title,
        tuple(
            ReadSection(draft.title, tuple(_step(signs, below, decoration) for signs, below in draft.steps))
            for draft in kept
        ),
        tuple(line for _, line in sorted(body.unread, key=lambda pair: pair[0])),
    )


def _step(signs: Signs, below: tuple[str, ...], decoration: set[str]) -> ReadStep:
    return ReadStep(signs.text, bool(signs.kinds - decoration), below)


def _decoration(all_signs: list[Signs]) -> set[str]:
    """Emphasis that every step has says nothing about any of them."""
    if len(all_signs) < 3:
        return set()
    return {kind for kind in _DECORATION if all(kind in signs.kinds for signs in all_signs)}


def _title(body: Body) -> str:
    """The title said outright, else the first short line above the list, else a lone heading above it."""
    if body.title:
        return body.title
    for place, (number, line) in enumerate(body.preamble):
        if len(line.split()) <= _TITLE_WORDS and not line.rstrip().endswith((".", ";", ",")):
            del body.preamble[place]
            body.unread.remove((number, line))
            return line.strip().strip("*_#").strip().rstrip(":")
    return _title_from_heading(body)


def _title_from_heading(body: Body) -> str:
    first = body.segments[0] if body.segments else None
    if first is None or first.heading is None:
        return ""
    others = [segment.heading for segment in body.segments[1:] if segment.heading]
    heading = first.heading
    if not first.outline.tops:
        unlike = not others or others[0].style != heading.style or len(others) == 1
        if unlike or heading.style in ("h1", "plain", "caps", "bold"):
            body.segments.pop(0)
            return heading.title
        return ""
    alone = all(other.style != heading.style for other in others)
    if alone and heading.style not in ("label", "colon") and not PHASES.match(heading.title):
        first.heading = None
        return heading.title
    return ""


def _take_segment(segment: Segment, body: Body, drafts: list[_Draft], numbered: bool) -> None:
    title = segment.heading.title if segment.heading else ""
    tops = segment.outline.tops
    supplies = (
        bool(NOT_STEPS.match(title)) and numbered and all(node.marker.kind in ("bullet", "indent") for node in tops)
    )
    if supplies and tops:
        for number, raw in segment.raw:
            body.leave(number, raw)
        return
    if not _are_sections(tops):
        drafts.append(_Draft(title, [_draft_step(node, body) for node in tops]))
        return
    if title:
        drafts.append(_Draft(title, []))
    for node in tops:
        inner = take_critical_signs(node.text).text.rstrip(":").strip()
        drafts.append(_Draft(inner, [_draft_step(child, body) for child in node.children]))


def _draft_step(node: Node, body: Body) -> tuple[Signs, tuple[str, ...]]:
    signs = take_critical_signs(node.text, body.critical_signs)
    if node.marker.starred:
        signs.kinds.add("before")
    return signs, tuple(child.text for child in node.below())


def _are_sections(tops: list[Node]) -> bool:
    """Whether the outermost items are headings of sections: `A. Before` over `1. …`, or `1. BEFORE` over `1.1 …`."""
    parents = [node for node in tops if node.children]
    if not parents or len(parents) < len(tops) or (len(tops) == 1 and len(tops[0].children) < 2):
        return False
    if any(child.marker.kind in ("bullet", "indent") for node in parents for child in node.children):
        return False
    short = all(len(node.text.split()) <= 8 and not node.text.endswith(".") for node in tops)
    kinds = {node.marker.style[:11] if node.marker.kind == "letter" else node.marker.kind for node in tops}
    if not short or len(kinds) != 1:
        return False
    if kinds & {"letterupper", "roman"}:
        return True
    if all(child.marker.kind == "deep" for node in parents for child in node.children):
        return True
    loud = all(node.text.isupper() or node.text.startswith("**") or PHASES.match(node.text) for node in tops)
    return loud and len(tops) > 1
