"""The tree of a pasted list: which numbered line lies under which. Order and nesting only; meaning comes later."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from checkoffs.procedures.reading_lines import Line, Marker

_NEAR = 1
_FARTHEST_JUMP = 20
NARROWEST = 40  # below this width nobody wraps lines on purpose


@dataclass
class Node:
    """One item of the list with the texts of its lines, still carrying critical signs."""

    marker: Marker
    indent: int
    column: int
    parts: list[str] = field(default_factory=list)
    children: list[Node] = field(default_factory=list)

    @property
    def text(self) -> str:
        """The item's lines joined; a word cut by a hyphen at a line's end keeps its hyphen."""
        whole = ""
        for part in self.parts:
            joined = whole.endswith("-") and not whole.endswith(" -") and part[:1].islower()
            whole += part if not whole or joined else f" {part}"
        return re.sub(r"\s+", " ", whole).strip()

    def below(self) -> Iterator[Node]:
        """Everything under this item, in reading order."""
        waiting = self.children[::-1]
        while waiting:
            child = waiting.pop()
            yield child
            waiting += child.children[::-1]


class Outline:
    """Places one item after another by number, letter, bullet and indent."""

    def __init__(self) -> None:
        self.tops: list[Node] = []
        self._path: list[Node] = []

    @property
    def last(self) -> Node | None:
        """The item that a wrapped line would belong to."""
        return self._path[-1] if self._path else None

    def place(self, marker: Marker, line: Line) -> bool:
        """Add an item; False when its number cannot be one here and the line is running text."""
        settled = self._settle(marker)
        if settled is None or self._is_running_text(settled, line):
            return False
        level = self._level(settled, line.indent)
        column = line.indent + max(0, line.text.find(settled.rest))
        self._add(level, Node(settled, line.indent, column, [settled.rest]))
        return True

    def place_indented(self, line: Line, text: str, widest: int) -> bool:
        """Add an unmarked, indented line as a sub-point; False when it only continues the item above."""
        if self.last is None or self.last.marker.kind == "bullet":
            return False
        before = self.last.parts[-1]
        room = len(before) + self.last.column + 1 + len(text.split()[0]) < max(NARROWEST, widest * 0.8)
        if self.last.marker.kind == "indent":
            fits = abs(line.indent - self.last.indent) <= _NEAR and (room or before.endswith((".", ";")))
            level = len(self._path) - 1
        else:
            announced = before.endswith(":") and line.indent > self.last.indent + _NEAR
            hangs = line.indent > self.last.column + _NEAR and room
            fits, level = announced or hangs, len(self._path)
        if fits:
            self._add(level, Node(Marker("indent", 0, "indent", text), line.indent, line.indent, [text]))
        return fits

    def place_under(self, line: Line) -> None:
        """Add an unmarked line under the last top item, in a list that has no numbers at all."""
        self._add(1, Node(Marker("line", 0, "line", line.text), line.indent, line.indent, [line.text]))

    def _add(self, level: int, node: Node) -> None:
        siblings = self._path[level - 1].children if level else self.tops
        siblings.append(node)
        self._path = [*self._path[:level], node]

    def _settle(self, marker: Marker) -> Marker | None:
        """Decide between letter and roman number, and whether a letter can stand here at all."""
        if marker.kind != "letter":
            return marker
        same = [node.marker for node in self._path if node.marker.style[:11] == marker.style[:11]]
        if any(0 < marker.value - known.value <= 2 for known in same if known.kind == "letter"):
            return marker
        if marker.other:
            style, value = marker.other
            roman = [node.marker for node in self._path if node.marker.kind == "roman"]
            if value == 1 or any(known.value + 1 == value for known in roman):
                return Marker("roman", value, style, marker.rest, starred=marker.starred)
        return (
            marker
            if marker.value == 1 or not self._path or any(known.value == marker.value for known in same)
            else None
        )

    def _is_running_text(self, marker: Marker, line: Line) -> bool:
        """A wrapped line may begin with what only looks like a number: `(see step` / `4) above`, `2.5 mL`."""
        if self.last is None or marker.kind in ("bullet", "line"):
            return False
        if marker.kind == "deep":
            return not self._deep_fits(marker)
        before = self.last.parts[-1]
        if before.count("(") > before.count(")") and not marker.style.startswith("number("):
            return True
        known = [node.marker.value for node in self._path if node.marker.kind == marker.kind]
        if marker.value == 1 or any(marker.value == value + 1 for value in known):
            return False
        far = all(abs(marker.value - value) > _FARTHEST_JUMP for value in known)
        unended = before[-1:] not in tuple(".!?:;)")
        lower = marker.rest[:1].islower() and not self.last.parts[0][:1].islower()
        return not line.gap and unended and (far or lower)

    def _deep_fits(self, marker: Marker) -> bool:
        for node in self._path:
            known = node.marker
            if known.kind == "deep" and (known.path[:-1] == marker.path[:-1] or marker.path[:-1] == known.path):
                return True
            if known.kind == "deep" and len(known.path) > len(marker.path) and known.path[0] + 1 >= marker.path[0]:
                return True
            if known.kind == "number" and known.value == marker.path[0]:
                return True
        top = self._path[0].marker
        return top.kind == "deep" and top.path[0] + 1 == marker.path[0] and marker.value == 1

    def _level(self, marker: Marker, indent: int) -> int:
        """The depth at which an item belongs: 0 is the top."""
        if not self._path or marker.kind == "line":
            return 0
        if marker.kind == "deep":
            return self._deep_level(marker)
        alike = [depth for depth, node in enumerate(self._path) if node.marker.kind == marker.kind]
        if marker.kind == "bullet":
            return self._bullet_level(marker, indent, alike)
        following = [
            d for d in alike if self._path[d].marker.value + 1 == marker.value and self._same_case(d, marker)
        ]
        if following:
            return min(
                following, key=lambda d: (abs(self._path[d].indent - indent) > _NEAR, self._strange(d, marker), -d)
            )
        same = [depth for depth in alike if self._path[depth].marker.style == marker.style]
        if same:
            nearest = min(same, key=lambda d: (abs(self._path[d].indent - indent), -d))
            deeper = marker.value == 1 and indent > self._path[nearest].indent + _NEAR
            return nearest + 1 if deeper else nearest
        if marker.kind in ("number", "letter", "roman") and marker.value > 1 and alike:
            return min(alike, key=lambda d: (abs(self._path[d].indent - indent), -d))
        return self._below(marker, indent)

    def _below(self, marker: Marker, indent: int) -> int:
        bullets = [depth for depth, node in enumerate(self._path) if node.marker.kind == "bullet"]
        for depth in bullets:
            if indent <= self._path[depth].indent:
                return depth
        return len(self._path)

    def _bullet_level(self, marker: Marker, indent: int, alike: list[int]) -> int:
        for depth in reversed(alike):
            node = self._path[depth]
            same_sign = node.marker.style == marker.style
            if same_sign and indent <= node.indent + _NEAR:
                shallower = [d for d in alike if d < depth and self._path[d].marker.style == marker.style]
                if shallower and indent < node.indent - _NEAR:
                    continue
                return depth
            if not same_sign and indent < node.indent - _NEAR:
                continue
        enumerated = [depth for depth, node in enumerate(self._path) if node.marker.kind != "bullet"]
        lowest = enumerated[-1] + 1 if enumerated else 0
        if alike and indent < self._path[alike[-1]].indent - _NEAR:
            return max(lowest, alike[0])
        return len(self._path)

    def _deep_level(self, marker: Marker) -> int:
        for depth, node in enumerate(self._path):
            known = node.marker
            if known.kind == "deep" and len(known.path) >= len(marker.path):
                return depth
        return (
            len(self._path) if self._path[0].marker.kind != "deep" or self._path[0].marker.path != marker.path else 0
        )

    def _same_case(self, depth: int, marker: Marker) -> bool:
        return marker.kind == "number" or self._path[depth].marker.style[:11] == marker.style[:11]

    def _strange(self, depth: int, marker: Marker) -> bool:
        return self._path[depth].marker.style != marker.style
