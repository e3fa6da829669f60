"""PAdES signatures: over the whole file, by our key only; every change after signing is told apart."""

from __future__ import annotations

import asyncio
import io
from pathlib import Path
from typing import Any

import pdfua
import pikepdf
import pytest

from checkoffs.records import keys
from checkoffs.records.pdf import render
from checkoffs.records.pdf_signature import sign_pdf, signature_of
from tests.records import documents


@pytest.fixture(scope="module")
def rendering() -> bytes:
    """A one-page rendering."""
    return render(documents.record(sheets=[]), "ab" * 32, verify_at="https://lab.harrowmere.example/v").data


@pytest.fixture
def key(settings: Any, tmp_path: Path) -> keys.PaperKey:
    """A key of this test alone."""
    settings.KEYS_DIR = tmp_path / "keys"
    return keys.paper_key()


def test_signed_bytes_begin_with_the_rendering(rendering: bytes, key: keys.PaperKey) -> None:
    """So that the rendering's digest can be taken from the signed file; still sound for qpdf and for pdfua."""
    made = sign_pdf(rendering, key)
    assert made.startswith(rendering)
    assert signature_of(made, [key.certificate]) == "signed"
    with pikepdf.open(io.BytesIO(made)) as found:
        assert found.check_pdf_syntax() == []
        assert str(found.Root.AcroForm.Fields[0].V.SubFilter) == "/ETSI.CAdES.detached"  # EN 319 142-1, clause 6.3
        assert found.open_metadata()["pdfuaid:part"] == "1"
    assert pdfua.validate(io.BytesIO(made)).findings == ()


def test_the_signed_range_is_the_file(rendering: bytes, key: keys.PaperKey) -> None:
    """ISO 32000-1, 12.8.1: two ranges, from the first byte to the last, with only the signature between them."""
    made = sign_pdf(rendering, key)
    with pikepdf.open(io.BytesIO(made)) as found:
        start, length, again, rest = (int(part) for part in found.Root.AcroForm.Fields[0].V.ByteRange)
    assert (start, again + rest) == (0, len(made))
    assert made[length : length + 1] == b"<"
    assert made[again - 1 : again] == b">"


def test_what_is_done_afterwards_is_named(rendering: bytes, key: keys.PaperKey) -> None:
    """Appended, changed, cut short, signed by another, never signed, no PDF at all."""
    made = sign_pdf(rendering, key)
    ours = [key.certificate]
    assert signature_of(made + b"\n% more\n", ours) == "not_whole"
    assert signature_of(made.replace(b"The student", b"THE student"), ours) in ("signed", "broken")
    place = len(rendering) // 2
    assert signature_of(made[:place] + bytes([made[place] ^ 1]) + made[place + 1 :], ours) == "broken"
    assert signature_of(made[:-40], ours) in ("broken", "none")
    assert signature_of(rendering, ours) == "none"
    assert signature_of(b"not a PDF", ours) == "broken"
    assert signature_of(made, []) == "foreign"


def test_a_later_update_of_the_file_is_not_whole(rendering: bytes, key: keys.PaperKey) -> None:
    """An incremental update leaves the signature valid for what it covers; that is not enough."""
    from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter

    out = io.BytesIO()
    writer = IncrementalPdfFileWriter(io.BytesIO(sign_pdf(rendering, key)))
    writer.root["/Lang"] = writer.root["/Lang"]
    writer.update_root()
    writer.write(out)
    assert signature_of(out.getvalue(), [key.certificate]) == "not_whole"


def test_signs_where_an_event_loop_runs(rendering: bytes, key: keys.PaperKey) -> None:
    """Servers and browser tests have one in the thread."""

    async def inside() -> str:
        return signature_of(sign_pdf(rendering, key), [key.certificate])

    assert asyncio.run(inside()) == "signed"


def test_after_rotation_old_papers_verify(rendering: bytes, key: keys.PaperKey) -> None:
    """The old certificate stays among the known ones."""
    made = sign_pdf(rendering, key)
    keys.rotate()
    assert keys.paper_key().certificate != key.certificate
    assert signature_of(made, keys.paper_certificates()) == "signed"
