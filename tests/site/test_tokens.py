"""The tokens' contrast, computed, and the weight of the fonts.

Outside source: WCAG 2.2, "relative luminance" and "contrast ratio" (https://www.w3.org/TR/WCAG22/#dfn-contrast-ratio),
success criteria 1.4.3 (text, 4.5 : 1) and 1.4.11 (shapes and borders of controls, 3 : 1).
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

STATIC = Path(__file__).resolve().parents[2] / "static"
CSS = (STATIC / "css/tokens.css").read_text()
SURFACES = ("sheet", "desk", "band", "carbon-wash", "verm-wash", "amber-wash")


def tokens(start: str) -> dict[str, str]:
    """The colours of the block that begins with this selector."""
    block = CSS[CSS.index(start) + len(start) :].split("}", 1)[0]
    found = dict(re.findall(r"--([a-z0-9-]+):(#[0-9A-Fa-f]{3,6})\b", block))
    return {
        name: value if len(value) == 7 else "#" + "".join(2 * c for c in value[1:]) for name, value in found.items()
    }


LIGHT = tokens(":root{\n  color-scheme:light;")
THEMES = {
    "light": LIGHT,
    "dark": LIGHT | tokens(":root[data-theme=dark]{"),
    "print": LIGHT | tokens("@media print{:root,"),
}


def luminance(colour: str) -> float:
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    r, g, b = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def contrast(one: str, other: str) -> float:
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_the_formula_gives_what_the_standard_says_of_black_on_white() -> None:
    assert contrast("#000000", "#FFFFFF") == pytest.approx(21)
    assert contrast("#777777", "#FFFFFF") == pytest.approx(4.48, abs=0.005)


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("surface", SURFACES)
def test_text_and_shapes_stand_out_on_every_surface(theme: str, surface: str) -> None:
    colours = THEMES[theme]
    for text in ("ink", "ink-2", "ink-3", "carbon", "vermilion", "amber"):
        assert contrast(colours[text], colours[surface]) >= 4.5, text
    assert contrast(colours["edge"], colours[surface]) >= 3


@pytest.mark.parametrize("theme", THEMES)
def test_what_is_cut_out_of_a_colour_stands_out_too(theme: str) -> None:
    colours = THEMES[theme]
    for name in ("carbon", "vermilion"):
        assert contrast(colours[f"on-{name}"], colours[name]) >= 4.5
    assert contrast(colours["sheet"], colours["ink-3"]) >= 4.5
    assert contrast(colours["amber"], colours["amber-inside"]) >= 3


def test_the_two_ways_to_dark_agree() -> None:
    assert tokens("@media (prefers-color-scheme:dark){:root:not([data-theme=light]){") == tokens(
        ":root[data-theme=dark]{"
    )


def test_every_font_named_is_there_and_the_scoring_page_stays_within_120_kb() -> None:
    named = re.findall(r"font-weight:(\d+);(font-style:italic;)?[^}]*?url\(\.\./fonts/([a-z0-9-]+\.woff2)\)", CSS)
    assert {file for _, _, file in named} == {path.name for path in (STATIC / "fonts").glob("*.woff2")}
    scoring = {
        "sans-3-latin-400-normal",
        "sans-3-latin-600-normal",
        "sans-3-latin-700-normal",
        "serif-4-latin-600-normal",
    }
    scoring |= {"sans-3-latin-ext-400-normal", "serif-4-latin-ext-600-normal"}  # a name and a word beyond Latin-1
    assert sum((STATIC / f"fonts/source-{name}.woff2").stat().st_size for name in scoring) <= 120_000
