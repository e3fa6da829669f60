"""The snapshot: everything needed to decide again, nothing that was not asked, and successors that repeat it."""

from __future__ import annotations

import pytest

from checkoffs.records.canonical import canonical_bytes, digest_of
from checkoffs.records.snapshot import Seal, SnapshotError, amend, build, letter, void
from checkoffs.scoring.decide import decide
from tests.records import documents, infusion


def test_decision_can_be_made_again_from_the_snapshot_alone() -> None:
    """Rule and events are in it: whoever holds it can run the fold and must get the same decision."""
    for document in (documents.record(), documents.moderated()):
        sheets = [
            {"id": sheet["id"], "kind": sheet["kind"], "events": sheet["events"]} for sheet in document["sheets"]
        ]
        assert decide(document["rule"], sheets).as_dict() == document["decision"]


def test_same_data_same_bytes_other_salt_other_digest() -> None:
    """Canonical: key order does not matter. The salt alone changes the digest, so that content cannot be guessed."""
    source = documents.source()
    turned = dict(reversed(list(source.items())))
    assert canonical_bytes(build(source, documents.seal())) == canonical_bytes(build(turned, documents.seal()))
    salted = Seal("SW-7KQ4-M2XE", 1874, documents.SEALED, b"\x01" * 16)
    first, second = (digest_of(canonical_bytes(build(source, one))) for one in (documents.seal(), salted))
    assert first != second


def test_salt_has_sixteen_bytes() -> None:
    """Shorter salt is refused, whoever asks."""
    with pytest.raises(SnapshotError, match="16 bytes"):
        build(documents.source(), Seal("SW-7KQ4-M2XE", 0, documents.SEALED, b"short"))


def test_case_shows_said_against_expected_with_the_likely_slip() -> None:
    """28.9 said, 13.1 expected (worked in the fixture), and the working of the slip beside it."""
    rate, vtbi = documents.record()["case"]["checks"]
    assert (rate["said"], rate["unit"], rate["expected"]) == ("28.9", "mL/h", "13.1 mL/h")
    assert rate["slips"][0]["text"] == "pounds taken as kilograms"
    assert rate["slips"][0]["working"][0]["gives"] == "28.875 mL/h"
    assert (vtbi["said"], vtbi["verdict"]["code"]) == ("470", "right")


def test_steps_are_lettered_and_numbered_through_without_cues() -> None:
    """Six sections A to F, steps 1 to 34, no cue and no teaching note."""
    sections = documents.record()["procedure"]["sections"]
    assert "".join(section["letter"] for section in sections) == "ABCDEF"
    steps = [step for section in sections for step in section["steps"]]
    assert [step["number"] for step in steps] == list(range(1, 35))
    assert not {"cue", "why", "right", "phrases"} & set(steps[0])


@pytest.mark.parametrize(("position", "name"), [(0, "A"), (25, "Z"), (26, "AA"), (51, "AZ"), (52, "BA")])
def test_letters(position: int, name: str) -> None:
    """As spreadsheets count columns; *common practice*."""
    assert letter(position) == name


def test_open_outcome_is_no_record() -> None:
    """Moderation is not an outcome."""
    source = documents.source()
    source["decision"] = source["decision"] | {"outcome": "moderation"}
    with pytest.raises(SnapshotError, match="not final"):
        build(source, documents.seal())


def test_successors_repeat_the_record() -> None:
    """An amendment and a void hold all of it; a second amendment does not carry the first one's reason."""
    before = documents.record()
    digest = digest_of(canonical_bytes(before))
    first = amend(
        before, digest, documents.seal("SW-2222-2222", 5), author=documents.person("Ruth Okonjo"), reason=" Typing. ",
        correction={"outcome": "satisfactory", "text": ""},
    )  # fmt: skip
    assert (first["kind"], first["outcome"], first["reason"]) == ("amendment", "satisfactory", "Typing.")
    for kept in ("student", "sheets", "decision", "case", "rule_text"):
        assert first[kept] == before[kept]
    gone = void(
        first,
        "00" * 32,
        documents.seal("SW-3333-3333", 6),
        author=documents.person("Odile Brannagh"),
        reason="Alarm.",
    )
    assert (gone["kind"], gone["outcome"], gone["amends"]["code"]) == ("void", "void", "SW-2222-2222")
    assert "correction" not in gone
    with pytest.raises(SnapshotError, match="reason"):
        void(first, digest, documents.seal(), author=documents.person("x"), reason=" ")


def test_events_of_all_sheets_are_in_it() -> None:
    """The whole log of each sheet, the moderator's too."""
    document = documents.moderated()
    assert [len(sheet["events"]) for sheet in document["sheets"]] == [len(infusion.events())] * 2 + [1]
