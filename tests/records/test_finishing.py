"""What is done to the renderer's objects before the trailer: scopes, one name a file, the identifier."""

from __future__ import annotations

import io
import warnings
from typing import Any

import pikepdf
import pytest
import weasyprint

from checkoffs.records.finishing import finish

PAGE = """<html lang="en"><head><title>t</title></head><body><table><thead><tr><th scope="col">a</th>
<th scope="col">b</th></tr></thead><tbody><tr><th scope="row">c</th><td>d</td></tr></tbody></table></body></html>"""


@pytest.fixture(scope="module")
def finished() -> bytes:
    """A small page with a table and a file."""
    kept = weasyprint.Attachment(string=b"{}", name="a.json", relationship="Source")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", ResourceWarning)
        return bytes(
            weasyprint.HTML(string=PAGE).write_pdf(
                finisher=finish, pdf_variant="pdf/a-3a", pdf_tags=True, attachments=[kept]
            )
        )


def _cells(item: Any) -> list[tuple[str, str]]:
    found = [("TH", str(item.A.Scope))] if item.get("/S") == "/TH" else []
    kids = item.get("/K", [])
    for kid in kids if isinstance(kids, pikepdf.Array) else [kids]:
        if isinstance(kid, pikepdf.Dictionary):
            found += _cells(kid)
    return found


def test_header_cells_say_what_they_head(finished: bytes) -> None:
    """ISO 14289-1, clause 7.5: column in a table's head, row elsewhere."""
    with pikepdf.open(io.BytesIO(finished)) as found:
        assert _cells(found.Root.StructTreeRoot) == [("TH", "/Column"), ("TH", "/Column"), ("TH", "/Row")]


def test_a_file_is_associated_once(finished: bytes) -> None:
    """The renderer names it twice."""
    with pikepdf.open(io.BytesIO(finished)) as found:
        assert [str(one.UF) for one in found.Root.AF] == ["a.json"]


def test_identifier_is_declared_once(finished: bytes) -> None:
    """ISO 14289-1, clause 5, beside the PDF/A identifier."""
    with pikepdf.open(io.BytesIO(finished)) as found:
        text = found.Root.Metadata.read_bytes()
    assert text.count(b"<pdfuaid:part>1</pdfuaid:part>") == 1
    assert text.count(b"</rdf:RDF>") == 1
