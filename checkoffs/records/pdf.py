"""From a snapshot to the bytes of its PDF: the page is set once and kept. Reads no database and no address.

The renderer is given one way to fetch anything, ``Vendored``, and that way knows a closed list of names: the fonts
in the tree, the marks, and the ribbons of this one record. Whatever else is asked for is refused, so that nothing a
person types can bring a file or a remote page into the document.
"""

from __future__ import annotations

import functools
import hashlib
import os
import threading
import warnings
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from io import BytesIO
from pathlib import Path
from typing import Any

import segno
import weasyprint
from django.conf import settings
from django.template.loader import render_to_string
from weasyprint.text.fonts import FontConfiguration
from weasyprint.urls import URLFetcher, URLFetcherResponse

from checkoffs.records.canonical import canonical_bytes
from checkoffs.records.finishing import finish
from checkoffs.records.marks import mark_svg
from checkoffs.records.paper import paper, place_lines, ribbons

SCHEME = "stepwitness:"
RENDERER = f"weasyprint {weasyprint.__version__}, record sheet 2"
RECORD_FILE, PLACE_FILE = "record.json", "place.json"
RIBBON_WIDTH = 688
_one_at_a_time = threading.Lock()  # the font configuration is shared, and Pango's is not made for threads


class RefusedError(ValueError):
    """The document asked for something that is not on the closed list."""


class Vendored(URLFetcher):  # type: ignore[misc]
    """Gives fonts, marks and the named images; refuses every other address and remembers that it was asked."""

    def __init__(self, images: Mapping[str, bytes] | None = None) -> None:
        super().__init__(allowed_protocols=())
        self.images = dict(images or {})
        self.refused: list[str] = []

    def fetch(self, url: str, headers: Any = None) -> URLFetcherResponse:
        """The named thing; raises RefusedError for all others."""
        kind, _, name = url.removeprefix(SCHEME).partition("/")
        if url.startswith(SCHEME) and kind == "font" and name in _fonts():
            return _answer(url, _fonts()[name].read_bytes(), "font/ttf")
        if url.startswith(SCHEME) and kind == "mark" and (drawn := mark_svg(name)) is not None:
            return _answer(url, drawn.encode(), "image/svg+xml")
        if url.startswith(SCHEME) and kind == "image" and name in self.images:
            return _answer(url, self.images[name], "image/svg+xml")
        self.refused.append(url)
        raise RefusedError(f"not on the list: {url}")


def _answer(url: str, body: bytes, kind: str) -> URLFetcherResponse:
    return URLFetcherResponse(url, BytesIO(body), {"Content-Type": kind})


@contextmanager
def _own_fonts_only() -> Iterator[None]:
    """The font library is told once, by its environment, where fonts are; programs started later must not hear it."""
    before = os.environ.get("FONTCONFIG_FILE")
    os.environ["FONTCONFIG_FILE"] = str(settings.BASE_DIR / "static" / "fonts" / "pdf" / "fonts.conf")
    try:
        yield
    finally:
        if before is None:
            del os.environ["FONTCONFIG_FILE"]
        else:
            os.environ["FONTCONFIG_FILE"] = before


@functools.cache
def _fonts() -> dict[str, Path]:
    return {path.name: path for path in (settings.BASE_DIR / "static" / "fonts" / "pdf").glob("*.ttf")}


@functools.cache
def _sheet() -> tuple[FontConfiguration, weasyprint.CSS]:
    """Fonts and style sheet, read and parsed once in the life of the process."""
    with _own_fonts_only():
        fonts = FontConfiguration()
    text = (settings.BASE_DIR / "static" / "css" / "record-pdf.css").read_text("utf-8")
    return fonts, weasyprint.CSS(string=text, font_config=fonts, url_fetcher=Vendored())


@dataclass(frozen=True)
class Rendered:
    """A finished PDF: its bytes, their SHA-256, the number of pages, and what set it."""

    data: bytes
    digest: str
    pages: int
    renderer: str
    refused: tuple[str, ...]


def render(
    snapshot: Mapping[str, Any], digest: str, *, verify_at: str, place: Mapping[str, Any] | None = None
) -> Rendered:
    """Set the record, unsigned; the same arguments give the same bytes under the same renderer and fonts.

    ``digest`` is the snapshot's; ``verify_at`` the address for checking, printed and drawn as a code to photograph;
    ``place`` where it stands under a signed tree head (``signed.place``), printed and attached like the snapshot.
    """
    drawn = ribbons(snapshot, width=RIBBON_WIDTH, for_paper=True)
    context = {
        "paper": paper(snapshot, digest),
        "place": place_lines(place, snapshot["program"]["time_zone"]) if place else None,
        "ribbons": [{"src": f"{SCHEME}image/ribbon-{at}", "text": one["text"]} for at, one in enumerate(drawn)],
        "verify_at": verify_at,
        "code_picture": f"{SCHEME}image/code",
    }
    html = render_to_string("records/record_pdf.html", context)
    images = {f"ribbon-{at}": one["svg"].encode() for at, one in enumerate(drawn)}
    fetcher = Vendored(images | {"code": code_picture(f"{verify_at}?code={snapshot['code']}")})
    options = {"pdf_variant": "pdf/a-3a", "pdf_identifier": bytes.fromhex(digest)[:16], "pdf_tags": True}
    options["attachments"] = _attachments(snapshot, place)
    with _one_at_a_time, warnings.catch_warnings():
        warnings.simplefilter("ignore", ResourceWarning)  # the renderer leaves its colour profile open for a moment
        fonts, sheet = _sheet()
        document = weasyprint.HTML(string=html, url_fetcher=fetcher).render(
            font_config=fonts, stylesheets=[sheet], **options
        )
        data = document.write_pdf(finisher=finish, **options)
    return Rendered(data, hashlib.sha256(data).hexdigest(), len(document.pages), RENDERER, tuple(fetcher.refused))


def code_picture(address: str) -> bytes:
    """An address as a QR code, one SVG path on a quiet zone of four modules (ISO/IEC 18004)."""
    out = BytesIO()
    segno.make(address, error="m", micro=False).save(out, kind="svg", border=4, svgns=True, xmldecl=False)
    return out.getvalue()


def _attachments(snapshot: Mapping[str, Any], place: Mapping[str, Any] | None) -> list[weasyprint.Attachment]:
    """In the order of their names, which the name tree of a PDF needs; dated like the record, not like the run."""
    at = datetime.fromisoformat(snapshot["sealed_at"])
    files = [(RECORD_FILE, snapshot, "Source", "The record as data: the canonical JSON that the digest is of")]
    if place is not None:
        files.insert(0, (PLACE_FILE, place, "Supplement", "Its place among all records, under a signed tree head"))
    return [
        weasyprint.Attachment(
            string=canonical_bytes(content), name=name, description=text, created=at, modified=at, relationship=how
        )
        for name, content, how, text in files
    ]
