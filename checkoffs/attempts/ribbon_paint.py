"""Shapes and how they become SVG: classes on screen, literal colours on paper. Pure.

A PDF renderer reads neither ``var()`` nor ``currentColor`` nor the page's style sheet inside an SVG, so paper gets
every colour written out; ``static/css/ribbon.css`` says the same for the screen.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from html import escape

INK, INK2, INK3, EDGE, RULE = "#000000", "#2B343B", "#4A555D", "#66737B", "#B9C2C5"
SHEET, BAND, CARBON, WASH = "#FFFFFF", "#F1F3F3", "#174A8F", "#E8EFF7"
VERM, AMBER, AMBER_IN = "#8A2C00", "#744B00", "#F7D27F"
FACE = "SW Sans, Source Sans 3, sans-serif"

# (classes a shape must carry, what paper then writes); later rows win, as in a style sheet
PAPER: list[tuple[str, dict[str, str]]] = [
    ("rb-chan", {"fill": "none", "stroke": EDGE, "stroke-width": "1"}),
    ("rb-grad", {"fill": "none", "stroke": EDGE, "stroke-width": "1"}),
    ("rb-ax", {"fill": INK3, "font-family": FACE}),
    ("rb-ax lim", {"fill": INK, "font-weight": "600"}),
    ("rb-seg even", {"fill": INK}),
    ("rb-seg odd", {"fill": INK3}),
    ("rb-seg cur", {"fill": CARBON}),
    ("rb-seg line", {"fill": SHEET, "stroke": INK, "stroke-width": "1.4"}),
    ("rb-seg line odd", {"fill": BAND}),
    ("rb-seg line broken", {"stroke-dasharray": "5 3"}),
    ("rb-let", {"fill": SHEET, "font-family": FACE, "font-weight": "700"}),
    ("rb-let line", {"fill": INK}),
    ("rb-t", {"fill": "none", "stroke": INK2, "stroke-width": "1.5"}),
    ("rb-t crit", {"stroke": INK, "stroke-width": "2"}),
    ("rb-t self", {"stroke": CARBON}),
    ("rb-t said", {"stroke": AMBER}),
    ("rb-t prompted", {"stroke": AMBER}),
    ("rb-t no", {"stroke": VERM, "stroke-width": "2"}),
    ("rb-t nobs", {"stroke": AMBER, "stroke-width": "2.2", "stroke-dasharray": "2.2 1.8"}),
    ("rb-t flag", {"stroke-width": "1.3"}),
    ("rb-t covin", {"stroke": SHEET}),
    ("rb-t covin line", {"stroke": INK}),
    ("rb-k", {"fill": INK}),
    ("rb-o", {"fill": AMBER_IN, "stroke": AMBER, "stroke-width": "1.5"}),
    ("rb-sq", {"fill": VERM}),
    ("rb-sqo", {"fill": AMBER_IN, "stroke": AMBER, "stroke-width": "1.4"}),
    ("rb-prl", {"fill": "none", "stroke": AMBER, "stroke-width": "1"}),
    ("rb-pr", {"fill": AMBER_IN, "stroke": AMBER, "stroke-width": "1.6"}),
    ("rb-prt", {"fill": AMBER}),
    ("rb-br", {"fill": VERM}),
    ("rb-brl", {"fill": "none", "stroke": VERM, "stroke-width": "1"}),
    ("rb-brn", {"fill": INK, "font-family": FACE, "font-weight": "600"}),
    ("rb-pz", {"fill": SHEET}),
    ("rb-hat", {"fill": "none", "stroke": INK, "stroke-width": "1"}),
    ("rb-rail", {"fill": "none", "stroke": INK, "stroke-width": "1.4"}),
    ("rb-cut", {"fill": SHEET}),
    ("rb-lim1", {"fill": "none", "stroke": INK, "stroke-width": "1.2"}),
    ("rb-lim2", {"fill": "none", "stroke": INK, "stroke-width": "4"}),
    ("rb-now", {"fill": "none", "stroke": CARBON, "stroke-width": "2"}),
    ("rb-nowh", {"fill": CARBON}),
    ("rb-end", {"fill": "none", "stroke": INK, "stroke-width": "2"}),
    ("rb-gbase", {"fill": "none", "stroke": RULE, "stroke-width": "1"}),
    ("rb-gl", {"fill": "none", "stroke": EDGE, "stroke-width": "1", "stroke-dasharray": "1.5 2.5"}),
    ("rb-g", {"fill": WASH, "stroke": CARBON, "stroke-width": "1"}),
    ("rb-gm", {"fill": "none", "stroke": INK, "stroke-width": "2.4"}),
    ("rb-gt", {"fill": INK, "font-family": FACE, "font-weight": "600"}),
    ("rb-join", {"fill": "none", "stroke": AMBER, "stroke-width": "1.5", "stroke-dasharray": "2.5 2.5"}),
    ("rb-name", {"fill": INK, "font-family": FACE, "font-weight": "600"}),
    ("rb-dif", {"fill": INK3, "font-family": FACE}),
    ("rb-dif crit", {"fill": AMBER, "font-weight": "700"}),
]


@dataclass(frozen=True)
class Shape:
    """One SVG element: tag, class words, attributes already as text, and its text for ``text`` elements."""

    tag: str
    cls: str
    attrs: tuple[tuple[str, str], ...]
    text: str = ""


def n(value: float) -> str:
    """A coordinate to a tenth, half up, the same in Python and in the browser: 42.25 gives 42.3, 42.0 gives 42."""
    tenths = math.floor(value * 10 + 0.5)
    whole, part = divmod(abs(tenths), 10)
    return f"{'-' if tenths < 0 else ''}{whole}{f'.{part}' if part else ''}"


def path(cls: str, d: str) -> Shape:
    """A path."""
    return Shape("path", cls, (("d", d),))


def rect(cls: str, x: float, y: float, w: float, h: float) -> Shape:
    """A rectangle; a width below 0 becomes 0."""
    return Shape("rect", cls, (("x", n(x)), ("y", n(y)), ("width", n(max(0.0, w))), ("height", n(h))))


def circle(cls: str, x: float, y: float, r: float) -> Shape:
    """A circle."""
    return Shape("circle", cls, (("cx", n(x)), ("cy", n(y)), ("r", n(r))))


def words(cls: str, x: float, y: float, text: str, size: float, anchor: str = "start") -> Shape:
    """A line of text; escaped when written."""
    return Shape("text", cls, (("x", n(x)), ("y", n(y)), ("text-anchor", anchor), ("font-size", n(size))), text)


def svg(
    shapes: Iterable[Shape], width: float, height: float, label: str, cls: str = "ribbon", for_paper: bool = False
) -> str:
    """The whole drawing as text. ``label`` becomes the accessible name and the title, escaped."""
    name = escape(label)
    body = "".join(_paper(shape) if for_paper else _screen(shape) for shape in shapes)
    outer = "" if for_paper else f' class="{cls}"'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg"{outer} width="{n(width)}" height="{n(height)}"'
        f' viewBox="0 0 {n(width)} {n(height)}" role="img" aria-label="{name}"><title>{name}</title>{body}</svg>'
    )


def _screen(shape: Shape) -> str:
    return _element(shape, f' class="{shape.cls}"')


def _paper(shape: Shape) -> str:
    have, style = set(shape.cls.split()), {}
    for needs, attrs in PAPER:
        if have.issuperset(needs.split()):
            style.update(attrs)
    return _element(shape, "".join(f' {name}="{value}"' for name, value in style.items()))


def _element(shape: Shape, first: str) -> str:
    attrs = "".join(f' {name}="{value}"' for name, value in shape.attrs)
    if shape.tag == "text":
        return f"<text{first}{attrs}>{escape(shape.text)}</text>"
    return f"<{shape.tag}{first}{attrs}/>"
