"""The PDF: what it says, how long it is, that it is tagged, and that nothing typed makes it fetch anything."""

from __future__ import annotations

import io
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pdfua
import pikepdf
import pypdfium2
import pytest
import zxingcpp
from weasyprint import HTML
from weasyprint.urls import URLFetchingError, fetch

from checkoffs.records import signed, tree
from checkoffs.records.canonical import canonical_bytes, digest_of, grouped, leaf_hash
from checkoffs.records.pdf import PLACE_FILE, RECORD_FILE, Rendered, Vendored, _sheet, render
from checkoffs.records.snapshot import amend, build
from tests.records import documents, infusion
from tests.records.test_signed import KEY

VERIFY = "https://lab.harrowmere.example/records/verify/"
ATTACKS = [
    '<a rel=attachment href="file:///etc/passwd">x</a>',
    '<link rel="attachment" href="file:///etc/passwd">',
    '"><img src="http://198.51.100.7/x.png">',
    "<style>@import url(http://198.51.100.7/x.css);</style>",
    "</title><style>body{background:url(file:///etc/hostname)}</style>",
    "url(file:///etc/passwd) @import 'file:///etc/passwd'",
    '<object data="file:///etc/passwd"></object><iframe src="file:///etc/passwd"></iframe>',
    '<svg><image href="file:///etc/passwd"/><use href="file:///etc/passwd#a"/></svg>',
    "{% include '/etc/passwd' %}{{ settings.SECRET_KEY }}{% load static %}",
    '<img src="stepwitness:font/../../../../etc/passwd">',
]


def _place(document: dict[str, Any]) -> dict[str, Any]:
    """The last of 1,875 leaves under a head signed with a known key."""
    digest = digest_of(canonical_bytes(document))
    leaves = [bytes.fromhex(leaf_hash(f"{number:064x}")) for number in range(1874)] + [
        bytes.fromhex(leaf_hash(digest))
    ]
    statement = {"size": 1875, "root": tree.root(leaves).hex(), "audit": "00" * 32, "key": "21fe31dfa154a261"}
    head = signed.sign_head(statement | {"signed_at": "2026-10-14T09:36:06Z"}, KEY)
    return signed.place(document["code"], 1874, digest, tree.inclusion_proof(leaves, 1874), head)


def _render(document: dict[str, Any]) -> Rendered:
    return render(document, digest_of(canonical_bytes(document)), verify_at=VERIFY, place=_place(document))


def _files(found: pikepdf.Pdf) -> dict[str, bytes]:
    return {name: file.get_file().read_bytes() for name, file in found.attachments.items()}


def _text(made: Rendered) -> str:
    with pypdfium2.PdfDocument(made.data) as found:
        return "\n".join(page.get_textpage().get_text_bounded() for page in found).replace("\r", "")


@pytest.fixture(scope="module")
def failed() -> Rendered:
    """The failed 34-step attempt, set once."""
    return _render(documents.record())


def test_says_what_matters_first(failed: Rendered) -> None:
    """Outcome, reasons, then the list, the case, the rule, signature, code, digest, caution; two pages."""
    text = _text(failed)
    order = [
        "Unsatisfactory",
        "Scrubs the hub for the full time and lets it dry",
        "Rate stated 28.9 mL/h, expected 13.1 mL/h",
        "Before the bag is touched",
        "Beside the list",
        "Dopamine 800 mg in 500 mL",
        "13.125 mL/h",
        "The rule it was decided by",
        "evaluator, for what was seen",
        "digest SHA-256",
    ]
    places = [text.index(part) for part in order]
    assert places == sorted(places)
    assert failed.pages == 2
    assert "page 1 of 2" in text
    assert "page 2 of 2" in text
    assert " ".join(text.split()).count("high-alert infusions need an independent double check") == 2
    assert VERIFY in text.replace("\n", "")


def test_every_step_stands_in_it(failed: Rendered) -> None:
    """All 34 numbers with a mark and a time or the word that says there is none."""
    text = _text(failed)
    assert "untimed" in text
    for word in ("self-corrected", "said, not done", "after a prompt", "stated wrong", "16:13", "22:48"):
        assert word in text


def test_digest_on_paper_is_the_snapshots(failed: Rendered) -> None:
    """What is printed can be compared sign by sign."""
    digest = digest_of(canonical_bytes(documents.record()))
    assert grouped(digest).replace(" ", "") in _text(failed).replace(" ", "")


def test_document_properties(failed: Rendered) -> None:
    """Tagged, with language and title (ISO 14289-1, clause 7.1); its date is the seal's; its fonts are our own."""
    with pikepdf.open(io.BytesIO(failed.data)) as found:
        assert found.Root.MarkInfo.Marked
        assert str(found.Root.Lang) == "en"
        assert "SW-7KQ4-M2XE" in str(found.docinfo["/Title"])
        assert str(found.docinfo["/CreationDate"]).startswith("D:20261014093605")
        assert "/StructTreeRoot" in found.Root
        assert found.check_pdf_syntax() == []  # qpdf --check, as the library that qpdf is
        fonts = {
            str(font.get("/BaseFont")) for page in found.pages for font in page.Resources.get("/Font", {}).values()
        }
    assert fonts
    assert all("+SW-" in font for font in fonts), fonts  # subsets of the vendored faces


def test_same_snapshot_same_bytes(failed: Rendered) -> None:
    """A second rendering under the same versions gives the same file."""
    again = _render(documents.record())
    assert again.digest == failed.digest


def test_same_bytes_in_another_process_of_another_account(failed: Rendered, tmp_path: Path) -> None:
    """Other hash seed, time zone, language, home and font settings; fonts of the machine do not come in."""
    code = (
        "import django; django.setup(); from tests.records.test_pdf import _render; "
        "from tests.records import documents; print(_render(documents.record()).digest)"
    )
    odd = {"PYTHONHASHSEED": "77", "TZ": "Pacific/Apia", "LANG": "C", "HOME": str(tmp_path), "SOURCE_DATE_EPOCH": "0"}
    settings = {"DJANGO_SETTINGS_MODULE": "tests.settings", "FONTCONFIG_FILE": "/nowhere/fonts.conf"}
    root = Path(__file__).resolve().parents[2]
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=root, env=os.environ | odd | settings, capture_output=True, text=True
    )
    assert done.stdout.strip() == failed.digest, done.stderr


def test_the_font_setting_is_not_left_in_the_environment() -> None:
    """A browser started later by this process needs the machine's fonts."""
    _sheet.cache_clear()
    before = os.environ.get("FONTCONFIG_FILE")
    _sheet()
    assert os.environ.get("FONTCONFIG_FILE") == before


def test_the_record_is_attached_as_data(failed: Rendered) -> None:
    """ISO 19005-3, clause 6.8, and annex E of ISO 32000-2: relationship Source; the bytes have the printed digest."""
    document = documents.record()
    with pikepdf.open(io.BytesIO(failed.data)) as found:
        kinds = {str(one.UF): str(one.AFRelationship) for one in found.Root.AF}
        files = _files(found)
    assert kinds == {RECORD_FILE: "/Source", PLACE_FILE: "/Supplement"}
    assert list(files) == [PLACE_FILE, RECORD_FILE]
    assert files[RECORD_FILE] == canonical_bytes(document)
    assert files[PLACE_FILE] == canonical_bytes(_place(document))
    assert signed.place_holds(_place(document), digest_of(files[RECORD_FILE]))


def test_declared_as_archivable_and_accessible(failed: Rendered) -> None:
    """PDF/A-3a and PDF/UA-1 stand in the metadata; pdfua, which knows 16 of the 106 rules, finds nothing.

    No tool at hand proves PDF/A or the rules that need eyes.
    """
    with pikepdf.open(io.BytesIO(failed.data)) as found:
        about = found.open_metadata()
        assert (about["pdfaid:part"], about["pdfaid:conformance"]) == ("3", "A")
        assert about["pdfuaid:part"] == "1"
        assert "PDF/UA identification" in str(about)
        assert str(found.Root.OutputIntents[0].S) == "/GTS_PDFA1"
    for made in (failed, _render(documents.moderated()), _render(documents.record(sheets=[]))):
        assert pdfua.validate(io.BytesIO(made.data)).findings == ()


def test_the_printed_code_is_read_by_a_camera(failed: Rendered) -> None:
    """Drawn from the page at 150 dpi in grey and again coarsely, as from a bad copy (zxing reads ISO/IEC 18004)."""
    with pypdfium2.PdfDocument(failed.data) as found:
        page = found[1].render(scale=150 / 72).to_pil().convert("L")
    bad = page.resize((page.width * 2 // 3, page.height * 2 // 3)).point(lambda grey: 60 if grey < 150 else 215)
    for picture in (page, bad):
        assert [one.text for one in zxingcpp.read_barcodes(picture)] == [f"{VERIFY}?code=SW-7KQ4-M2XE"]


def test_place_is_printed(failed: Rendered) -> None:
    """Leaf, size and root of the head, and the key that signed it."""
    text = " ".join(_text(failed).split())
    root = _place(documents.record())["head"]["root"]
    assert "leaf 1874 (counted from 0) of the 1875 under tree head" in text
    assert root in text.replace(" ", "")
    assert "with key 21fe31dfa154a261" in text


def test_36_steps_with_a_case_stay_on_two_pages() -> None:
    """The longest list of the demo's length, with everything beside it."""
    content = infusion.content()
    extra = content["sections"][-1]["steps"]
    extra += [{**extra[-1], "id": f"more{number}", "critical": False} for number in range(2)]
    assert sum(len(section["steps"]) for section in content["sections"]) == 36
    assert _render(documents.record(content=content)).pages == 2


def _attacked() -> dict[str, Any]:
    """Every field that a person can fill holds all attacks, one after the other."""
    attack = " ".join(ATTACKS)
    content = infusion.content()
    content["title"] = attack
    content["sections"][0]["title"] = attack
    step = content["sections"][4]["steps"][1]
    step["text"], step["critical_reason"], step["subpoints"] = attack, attack, [attack]
    events = infusion.events()
    fields = {"noted": "text", "paused": "reason", "identity_confirmed": "how"}
    for event in events:
        if event["kind"] in fields:
            event["payload"] = event["payload"] | {fields[event["kind"]]: attack}
    source = documents.source(
        [("primary", infusion.SHEET, attack, events)],
        content=content,
        student={"name": attack, "number": attack, "opaque": "x"},
        program={"name": attack, "institution": attack, "time_zone": "UTC"},
        case={**infusion.CASE, "title": attack, "order": attack, "values": [{"label": attack, "value": attack}]},
    )
    source["attempt"] |= {"place": attack, "cohort": attack}
    source["sheets"][0] |= {"statement": attack, "shown": "statement"}
    return amend(
        build(source, documents.seal()), "cd" * 32, documents.seal("SW-2222-2222", 2),
        author=documents.person(attack), reason=attack, correction={"outcome": "satisfactory", "text": attack},
    )  # fmt: skip


def test_what_people_type_fetches_nothing() -> None:
    """The renderer is never even asked; the words are printed as typed; nothing is embedded, nothing links out."""
    made = _render(_attacked())
    assert made.refused == ()
    with pikepdf.open(io.BytesIO(made.data)) as found:
        assert list(_files(found)) == [PLACE_FILE, RECORD_FILE]
        assert [note for page in found.pages for note in page.get("/Annots", [])] == []
    text = _text(made).replace("\n", "").replace(" ", "")
    assert "root:x:" not in text
    for attack in ATTACKS:
        assert attack.replace(" ", "")[:20] in text, attack


@pytest.mark.parametrize(
    "url",
    [
        "file:///etc/passwd",
        "http://198.51.100.7/",
        "https://198.51.100.7/",
        "ftp://198.51.100.7/",
        "data:text/plain,x",
        "stepwitness:font/../static/css/tokens.css",
        "stepwitness:font//etc/passwd",
        "stepwitness:image/ribbon-9",
        "stepwitness:mark/nothing",
    ],
)
def test_fetcher_refuses_all_but_its_list(url: str) -> None:
    """Even if escaping failed, the renderer has no way to a file or an address."""
    fetcher = Vendored({"ribbon-0": b"<svg/>"})
    with pytest.raises(URLFetchingError, match="not on the list"), fetch(fetcher, url):
        pass
    assert fetcher.refused == [url]


def test_unescaped_attack_would_be_refused() -> None:
    """The second wall on its own: raw markup, as if a template had forgotten to escape."""
    fetcher = Vendored()
    page = "".join(ATTACKS[:7])
    data = HTML(string=f"<html><body>{page}", url_fetcher=fetcher).write_pdf()
    assert b"root:x:" not in data
    assert any(url.startswith("file:") for url in fetcher.refused)
    with pikepdf.open(io.BytesIO(data)) as found:
        assert not found.Root.get("/Names", {}).get("/EmbeddedFiles")


def test_other_kinds_of_records() -> None:
    """No-show on one page; an amendment names what it follows; two sheets show both."""
    absent = _render(documents.record(sheets=[]))
    assert absent.pages == 1
    assert "The student did not come" in _text(absent)
    before = documents.record()
    changed = amend(
        before, "cd" * 32, documents.seal("SW-2222-2222", 2), author=documents.person("Ruth Okonjo"),
        reason="Another pump’s display.", correction={"outcome": "satisfactory", "text": ""},
    )  # fmt: skip
    text = _text(_render(changed))
    assert "This amends record SW-7KQ4-M2XE" in text
    assert "As decided by the rule: Unsatisfactory" in text
    both = _text(_render(documents.moderated()))
    assert "Two sheets, and what was settled" in both
    assert "The second saw it." in both


def test_long_lists_grow_by_pages() -> None:
    """100 steps of three lines each: more pages, none lost, and page numbers that agree."""
    content = infusion.content()
    content["sections"] = [
        {
            "id": f"x{part}",
            "title": f"Part {part}",
            "steps": [
                {
                    **content["sections"][0]["steps"][0],
                    "id": f"y{part}-{n}",
                    "text": f"Deed {part}.{n} is done " + "with care " * 12,
                }
                for n in range(20)
            ],
        }
        for part in range(5)
    ]
    content["rule"] |= {"pairs": [], "stated": [], "limits": [], "identity_required": False}
    log = infusion.Log()
    log.add("started")
    for part in range(5):
        for n in range(20):
            log.add("marked", part * 300 + n * 10 + 1, step=f"y{part}-{n}", mark="performed")
    log.add("finished", 1600)
    made = _render(
        documents.record(
            sheets=[("primary", infusion.SHEET, "Jo Castellane", log.events)], content=content, case=None
        )
    )
    text = _text(made)
    assert made.pages >= 3
    assert all(f"Deed {part}.{n}" in text for part in range(5) for n in range(20))
    assert f"page {made.pages} of {made.pages}" in text
