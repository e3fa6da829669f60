"""Walks the lines of a pasted checklist once and sorts them: headings, items, running text, what is left unread."""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace

from checkoffs.procedures.reading_headings import (
    Heading,
    comment_of,
    is_furniture,
    legend_of,
    likely_heading,
    plain_heading,
    sure_heading,
    title_of,
)
from checkoffs.procedures.reading_lines import Line, Marker, marker_of
from checkoffs.procedures.reading_marks import take_leading_boxes, take_trailing_boxes
from checkoffs.procedures.reading_outline import NARROWEST, Node, Outline

_INNER_NUMBER = re.compile(r"\s\d{1,3}(?:\.\)|[.)])\s+[A-Z*]")
_UNDERLINE = re.compile(r"^(?:={3,}|-{3,})$")


@dataclass
class Segment:
    """A heading (None for steps under no heading) with the list below it, and its lines as pasted."""

    heading: Heading | None
    outline: Outline = field(default_factory=Outline)
    raw: list[tuple[int, str]] = field(default_factory=list)


@dataclass
class Body:
    """Everything the walk found. `unread` and `preamble` pair a line's number with its words."""

    title: str = ""
    segments: list[Segment] = field(default_factory=list)
    unread: list[tuple[int, str]] = field(default_factory=list)
    preamble: list[tuple[int, str]] = field(default_factory=list)
    critical_signs: str = ""

    def leave(self, number: int, words: str) -> None:
        """Hand words back as not understood."""
        if words:
            self.unread.append((number, words))


def read_body(lines: list[Line]) -> Body:
    """Sort all lines. A list without any number or bullet is read one line, one step."""
    walk = _Walk(lines)
    for place in range(len(walk.lines)):
        walk.take(place)
    return walk.body


class _Walk:
    def __init__(self, lines: list[Line]) -> None:
        self.body = Body()
        self.lines = [part for line in lines for part in _unrolled(line)]
        self.bare: list[tuple[str, list[str]]] = [_without_boxes(line.text) for line in self.lines]
        self.markers = [self._marker(place) for place in range(len(self.lines))]
        if any(marker and marker.kind == "number" and not marker.weak for marker in self.markers):
            self.markers = [None if marker and marker.weak else marker for marker in self.markers]
        self.unmarked = not any(self.markers)
        self.all_bullets = all(marker is None or marker.kind == "bullet" for marker in self.markers)
        self.widest = max((len(line.text) + line.indent for line in self.lines), default=0)

    def _marker(self, place: int) -> Marker | None:
        line, (bare, _) = self.lines[place], self.bare[place]
        marker = marker_of(bare)
        numbered = marker is not None and marker.kind != "bullet" and not marker.weak
        own = comment_of(line) or sure_heading(line.text) or (is_furniture(line.text) and not numbered)
        return None if own else marker

    def take(self, place: int) -> None:
        line, marker = self.lines[place], self.markers[place]
        bare, boxes = self.bare[place]
        if self._take_about(line, marker):
            return
        if marker is not None and self._place(marker, line, boxes):
            return
        heading = sure_heading(line.text) or self._heading(place)
        if heading and (marker is None or heading.style != "plain"):
            self.body.segments.append(Segment(heading, raw=[(line.number, line.raw)]))
            self._leave_boxes(line, boxes)
        elif self.unmarked:
            self._take_unmarked(replace(line, text=bare), boxes)
        else:
            self._continue(line, bare, boxes)

    def _take_about(self, line: Line, marker: Marker | None) -> bool:
        """Lines about the sheet: comments, the title, a legend, blanks to fill in, rules under a heading."""
        if comment := comment_of(line):
            if comment[0] == "title" and not self.body.title:
                self.body.title = comment[1]
            else:
                self.body.leave(line.number, line.raw)
            return True
        if marker is None and not self.body.segments and not self.body.title and (title := title_of(line)):
            self.body.title = title
            return True
        starred = marker is None or marker.style == "bullet*" or (marker.kind == "bullet" and not self._open())
        if starred and (sign := legend_of(line.text)) is not None:
            self.body.critical_signs += sign
            self.body.leave(line.number, line.raw)
            return True
        if marker is None and is_furniture(line.text) and not sure_heading(line.text):
            self.body.leave(line.number, line.raw)
            return True
        return False

    def _open(self) -> bool:
        return bool(self.body.segments and self.body.segments[-1].outline.tops)

    def _segment(self) -> Segment:
        if not self.body.segments:
            self.body.segments.append(Segment(None))
        return self.body.segments[-1]

    def _place(self, marker: Marker, line: Line, boxes: list[str]) -> bool:
        segment = self._segment()
        if not segment.outline.place(marker, line):
            return False
        segment.raw.append((line.number, line.raw))
        self._leave_boxes(line, boxes)
        return True

    def _heading(self, place: int) -> Heading | None:
        line = replace(self.lines[place], text=self.bare[place][0])
        before = self.lines[place - 1].text if place else ""
        after = self.lines[place + 1].text if place + 1 < len(self.lines) else ""
        if _UNDERLINE.match(after) and line.text[:1].isupper() and len(line.text.split()) <= 12:
            return Heading(line.text.rstrip(":"), "h1" if after.startswith("=") else "h2")
        if self.unmarked:
            return plain_heading(line.text)
        ahead = place + 1
        while ahead < len(self.lines) and self.markers[ahead] is None and is_furniture(self.lines[ahead].text):
            ahead += 1
        following = self.markers[ahead] if ahead < len(self.lines) else None
        enumerated = following is not None and (
            following.kind != "bullet" or line.gap or not self._open() or self.all_bullets
        )
        deep = self._open() and line.indent > self._segment().outline.tops[-1].indent + 1
        return likely_heading(line, before=before, widest=self.widest, marked_after=enumerated and not deep)

    def _take_unmarked(self, line: Line, boxes: list[str]) -> None:
        segment = self._segment()
        last = segment.outline.last
        segment.raw.append((line.number, line.raw))
        if last is None:
            segment.outline.place(Marker("line", 0, "line", line.text), line)
        elif line.indent > segment.outline.tops[-1].indent + 1 and self._has_room(last, line):
            segment.outline.place_under(line)
        elif not line.gap and line.text[0].islower() and last.parts[-1][-1] not in ".:;":
            last.parts.append(line.text)
        else:
            segment.outline.place(Marker("line", 0, "line", line.text), line)
        self._leave_boxes(line, boxes)

    def _has_room(self, last: Node, line: Line) -> bool:
        """Whether the line above had room for the next word, so that it ended there on purpose."""
        return len(last.parts[-1]) + last.indent + 1 + len(line.text.split()[0]) < max(NARROWEST, self.widest * 0.8)

    def _continue(self, line: Line, bare: str, boxes: list[str]) -> None:
        outline = self.body.segments[-1].outline if self.body.segments else None
        last = outline.last if outline else None
        if outline is None or last is None:
            self.body.leave(line.number, line.raw)
            self.body.preamble.append((line.number, line.raw))
            return
        if not self._belongs(line, bare, last.parts[-1], last.indent):
            self.body.leave(line.number, line.raw)
            return
        if not outline.place_indented(line, bare, self.widest):
            last.parts.append(bare)
        self.body.segments[-1].raw.append((line.number, line.raw))
        self._leave_boxes(line, boxes)

    def _belongs(self, line: Line, bare: str, before: str, indent: int) -> bool:
        """After a blank line only running-on or indented text still belongs to the item above."""
        return not line.gap or bare[:1].islower() or line.indent > indent + 1 or before[-1:] in ",-"

    def _leave_boxes(self, line: Line, boxes: list[str]) -> None:
        for words in boxes:
            self.body.leave(line.number, words)


def _without_boxes(text: str) -> tuple[str, list[str]]:
    bare, front = take_leading_boxes(text)
    bare, behind = take_trailing_boxes(bare)
    boxes = [words for words in (front, behind) if words]
    marker = marker_of(bare)
    if marker and marker.rest != bare:
        inner, more = take_leading_boxes(marker.rest)
        if more:
            bare, boxes = bare[: len(bare) - len(marker.rest)] + inner, [*boxes, more]
    return bare.replace("\t", " ") if not re.match(r"^\(?\w{1,4}\s*\t|^\W\t", bare) else bare, boxes


def _unrolled(line: Line) -> list[Line]:
    """`1. Wash 2. Glove 3. Drape` on one line becomes three; two numbers alone may be running text and stay."""
    first = marker_of(line.text)
    if first is None or first.kind != "number" or first.weak or len(_INNER_NUMBER.findall(line.text)) < 2:
        return [line]
    cuts, value, start = [0], first.value + 1, 0
    while found := re.compile(rf"(?<=\s){value}(?:\.\)|[.)])\s+(?=[A-Z*])").search(line.text, start):
        cuts.append(found.start())
        value, start = value + 1, found.end()
    if len(cuts) < 3:
        return [line]
    ends = [*cuts[1:], len(line.text)]
    return [
        replace(line, text=line.text[begin:end].strip(), gap=line.gap and begin == 0)
        for begin, end in zip(cuts, ends, strict=True)
    ]
