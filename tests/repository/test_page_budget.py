"""The scoring page must open in a moment on a weak network: what it loads is weighed here, compressed by gzip -9.

Own HTML, style, script and marks until the first mark: at most 30 KB. The rest (stated values, finish, signing) is
fetched when the clock starts, and has a bound of its own. Fonts apart: at most 120 KB. Brotli makes it all smaller.
"""

from __future__ import annotations

import gzip
import hashlib
import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
BUILT = ROOT / "static" / "built"
KB = 1024
AT_OPENING, THE_REST, FONTS = 30 * KB, 21 * KB, 120 * KB


def weight(*paths: Path) -> int:
    return sum(len(gzip.compress(path.read_bytes(), 9)) for path in paths)


def imported(script: Path) -> set[Path]:
    """The script and all that it imports before it runs."""
    found = {script}
    for name in re.findall(r'from"\./([^"]+)"', script.read_text()):
        found |= imported(script.parent / name)
    return found


def later(script: Path) -> set[Path]:
    """What the script imports while it runs."""
    return {script.parent / name for name in re.findall(r'import\("\./([^"]+)"\)', script.read_text())}


def test_what_opening_loads_is_what_is_weighed() -> None:
    page = (ROOT / "templates" / "attempts" / "sheet.html").read_text()
    assert sorted(re.findall(r"{% static '([^']+)' %}", page)) == [
        "built/sheet-rest.css",
        "built/sheet.css",
        "built/sheet.js",
        "img/marks.svg",
        "img/word.svg",
    ]


def test_the_page_opens_with_at_most_30_kb() -> None:
    scripts = imported(BUILT / "sheet.js")
    template, styles = ROOT / "templates" / "attempts" / "sheet.html", BUILT / "sheet.css"
    assert len(scripts) == 2
    assert weight(*scripts, styles, template, ROOT / "static" / "img" / "marks.svg") <= AT_OPENING


def test_the_rest_has_a_bound_too() -> None:
    rest = later(BUILT / "sheet.js")
    assert len(rest) == 1
    assert weight(*rest, BUILT / "sheet-rest.css") <= THE_REST


def test_fonts_of_latin_text_stay_within_120_kb() -> None:
    """Upright sans and serif as the page uses them; a letter beyond Latin-1 fetches one more file."""
    wanted = ["sans-3-latin-400", "sans-3-latin-600", "sans-3-latin-700", "serif-4-latin-400", "serif-4-latin-600"]
    files = [ROOT / "static" / "fonts" / f"source-{name}-normal.woff2" for name in wanted]
    assert sum(path.stat().st_size for path in files) <= FONTS


def test_what_was_built_is_what_the_sources_say() -> None:
    """``make sheet`` builds anew; the list in static/built holds the digest of every source."""
    lines = (BUILT / "SOURCES").read_text().splitlines()
    built = {name: digest for digest, name in (line.split(maxsplit=1) for line in lines)}
    folders = [ROOT / "static" / "js" / "sheet", ROOT / "static" / "js" / "scoring"]
    sources = {str(path.relative_to(ROOT)) for folder in folders for path in folder.glob("*.js")}
    now = {name: hashlib.sha256((ROOT / name).read_bytes()).hexdigest() for name in sources | set(built)}
    assert now == built, "run `make sheet` and commit static/built"
