"""The scoring page must open in a moment on a weak network: what it loads is weighed here as the server sends it.

Own HTML, style, script and marks until the first mark can be made: at most 30 KB, each file compressed by itself with
brotli, as browsers ask for it in a secure context. What comes after that (the picture of the attempt, stated values,
finish, signing) has a bound of its own. Fonts apart: at most 120 KB.
"""

from __future__ import annotations

import re
from pathlib import Path

import brotli

from checkoffs.site.static import slim

ROOT = Path(__file__).resolve().parents[2]
STATIC = ROOT / "static"
TEMPLATE = ROOT / "templates" / "attempts" / "sheet.html"
KB = 1024
AT_OPENING, THE_REST, FONTS = 30 * KB, 30 * KB, 120 * KB
IMPORT = re.compile(r'^(?:import|export)[^"\n;]*?(?:from )?"(\.[^"]+)"', re.MULTILINE)
LATER = re.compile(r'import\("(\.[^"]+)"\)')


def weight(*paths: Path) -> int:
    """Bytes sent for these files."""
    texts = [
        slim(str(path.relative_to(STATIC)) if path.is_relative_to(STATIC) else "", path.read_text()) for path in paths
    ]
    return sum(len(brotli.compress(text.encode(), quality=11)) for text in texts)


def needed_by(script: Path) -> set[Path]:
    """The script and all that it imports before it runs."""
    found, waiting = set(), [script]
    while waiting:
        one = waiting.pop()
        if one not in found:
            found.add(one)
            waiting += [(one.parent / name).resolve() for name in IMPORT.findall(one.read_text())]
    return found


def later(scripts: set[Path]) -> set[Path]:
    """What these scripts import while they run, with all that needs."""
    names = {(script.parent / name).resolve() for script in scripts for name in LATER.findall(script.read_text())}
    return {path for name in names for path in needed_by(name)} - scripts


def test_the_template_names_what_is_weighed() -> None:
    named = re.findall(r"{% static '([^']+)' %}", TEMPLATE.read_text())
    assert sorted(named) == [
        "css/ribbon.css",
        "css/sheet-rest.css",
        "css/sheet.css",
        "css/tokens.css",
        "img/marks.svg",
        "img/word.svg",
        "js/sheet/main.js",
    ]


def test_the_page_opens_with_at_most_30_kb() -> None:
    scripts = needed_by(STATIC / "js" / "sheet" / "main.js")
    styles = [STATIC / "css" / "tokens.css", STATIC / "css" / "sheet.css"]
    assert STATIC / "js" / "scoring" / "fold.js" in scripts
    assert (
        weight(*scripts, *styles, TEMPLATE, STATIC / "img" / "marks.svg", STATIC / "img" / "word.svg") <= AT_OPENING
    )


def test_the_rest_has_a_bound_too() -> None:
    rest = later(needed_by(STATIC / "js" / "sheet" / "main.js"))
    assert {STATIC / "js" / "ribbon.js", STATIC / "js" / "scoring" / "decide.js"} <= rest
    assert weight(*rest, STATIC / "css" / "sheet-rest.css", STATIC / "css" / "ribbon.css") <= THE_REST


def test_fonts_of_latin_text_stay_within_120_kb() -> None:
    """Upright sans and serif as the page uses them; a letter beyond Latin-1 fetches one more file."""
    wanted = ["sans-3-latin-400", "sans-3-latin-600", "sans-3-latin-700", "serif-4-latin-400", "serif-4-latin-600"]
    files = [STATIC / "fonts" / f"source-{name}-normal.woff2" for name in wanted]
    assert sum(path.stat().st_size for path in files) <= FONTS
