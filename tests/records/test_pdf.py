"""The PDF: what it says, how long it is, that it is tagged, and that nothing typed makes it fetch anything."""

from __future__ import annotations

import io
from typing import Any

import pikepdf
import pypdfium2
import pytest
from weasyprint import HTML
from weasyprint.urls import URLFetchingError, fetch

from checkoffs.records.canonical import canonical_bytes, digest_of, grouped
from checkoffs.records.pdf import Rendered, Vendored, render
from checkoffs.records.snapshot import amend, build
from tests.records import documents, infusion

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


def _render(document: dict[str, Any]) -> Rendered:
    return render(document, digest_of(canonical_bytes(document)), verify_at=VERIFY)


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
        assert not found.Root.get("/Names", {}).get("/EmbeddedFiles")
        fonts = {
            str(font.get("/BaseFont")) for page in found.pages for font in page.Resources.get("/Font", {}).values()
        }
    assert fonts
    assert all("+SW-" in font for font in fonts), fonts  # subsets of the vendored faces


def test_same_snapshot_same_bytes(failed: Rendered) -> None:
    """A second rendering under the same versions gives the same file."""
    again = _render(documents.record())
    assert again.digest == failed.digest


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
        assert not found.Root.get("/Names", {}).get("/EmbeddedFiles")
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
