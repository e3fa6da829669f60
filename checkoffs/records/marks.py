"""The marks as single pictures for paper, colours written out: a renderer reads no page styles in an SVG."""

from __future__ import annotations

import functools
import re

from django.conf import settings

INK, CARBON, VERMILION, AMBER, AMBER_INSIDE, GREY = "#000000", "#174A8F", "#8A2C00", "#744B00", "#F7D27F", "#4A555D"
COLOURS = {
    "performed": CARBON,
    "self-corrected": CARBON,
    "prompted": AMBER,
    "prompt": AMBER,
    "said": AMBER,
    "not-observed": AMBER,
    "not-performed": VERMILION,
    "breach": VERMILION,
    "not-applicable": GREY,
    "open": GREY,
}
WORDMARK = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 30 20" width="30" height="20">'
    f'<path d="M0 14H30V20H0Z" fill="{CARBON}"/>'
    f'<path d="M4 13V8M24 13V8M14 13V6" stroke="{INK}" stroke-width="2" fill="none"/>'
    f'<path d="M8.8 1.4Q14 -.8 19.2 1.4L16.4 8Q14 7 11.6 8Z" fill="{INK}"/></svg>'
)
SYMBOL = re.compile(r'<symbol id="m-([a-z-]+)" viewBox="([^"]+)">(.*?)</symbol>', re.DOTALL)


@functools.cache
def _symbols() -> dict[str, tuple[str, str]]:
    text = (settings.BASE_DIR / "static" / "img" / "marks.svg").read_text("utf-8")
    return {name: (box, shape) for name, box, shape in SYMBOL.findall(text)}


@functools.cache
def mark_svg(name: str) -> str | None:
    """The picture of a mark or state by its code (``performed``, ``critical_line``, ``critical_failed``), or None."""
    if name == "wordmark":
        return WORDMARK
    wanted = name.replace("_", "-")
    base = wanted.removesuffix("-failed")
    if base not in _symbols():
        return None
    colour = VERMILION if wanted != base else COLOURS.get(base, INK)
    box, shape = _symbols()[base]
    shape = re.sub(r"var\(--amber-inside, none\)", AMBER_INSIDE, shape).replace("currentColor", colour)
    return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box}" width="24" height="24">{shape}</svg>'
