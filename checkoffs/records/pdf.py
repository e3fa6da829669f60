"""From a snapshot to the bytes of its PDF: the page is set once and kept. Reads no database and no address.

The renderer is given one way to fetch anything, ``Vendored``, and that way knows a closed list of names: the fonts
in the tree, the marks, and the ribbons of this one record. Whatever else is asked for is refused, so that nothing a
person types can bring a file or a remote page into the document.
"""

from __future__ import annotations

import functools
import hashlib
import threading
from collections.abc import Mapping
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import Any

import weasyprint
from django.conf import settings
from django.template.loader import render_to_string
from weasyprint.text.fonts import FontConfiguration
from weasyprint.urls import URLFetcher, URLFetcherResponse

from checkoffs.records.marks import mark_svg
from checkoffs.records.paper import paper, ribbons

SCHEME = "stepwitness:"
RENDERER = f"weasyprint {weasyprint.__version__}, record sheet 1"
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


@functools.cache
def _fonts() -> dict[str, Path]:
    return {path.name: path for path in (settings.BASE_DIR / "static" / "fonts" / "pdf").glob("*.ttf")}


@functools.cache
def _sheet() -> tuple[FontConfiguration, weasyprint.CSS]:
    """Fonts and style sheet, read and parsed once in the life of the process."""
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


def render(snapshot: Mapping[str, Any], digest: str, *, verify_at: str) -> Rendered:
    """Set the record. ``digest`` is the snapshot's, ``verify_at`` the address printed for checking the code."""
    drawn = ribbons(snapshot, width=RIBBON_WIDTH, for_paper=True)
    context = {
        "paper": paper(snapshot, digest),
        "ribbons": [{"src": f"{SCHEME}image/ribbon-{place}", "text": one["text"]} for place, one in enumerate(drawn)],
        "verify_at": verify_at,
    }
    html = render_to_string("records/record_pdf.html", context)
    fetcher = Vendored({f"ribbon-{place}": one["svg"].encode() for place, one in enumerate(drawn)})
    with _one_at_a_time:
        fonts, sheet = _sheet()
        options = {"pdf_variant": "pdf/ua-1", "pdf_identifier": bytes.fromhex(digest)[:16]}
        document = weasyprint.HTML(string=html, url_fetcher=fetcher).render(
            font_config=fonts, stylesheets=[sheet], **options
        )
        data = document.write_pdf(**options)
    return Rendered(data, hashlib.sha256(data).hexdigest(), len(document.pages), RENDERER, tuple(fetcher.refused))
