"""Sealing, amending, voiding: what each adds, what each refuses, and that nothing sealed is ever touched."""

from __future__ import annotations

import json
from typing import Any

import pytest
from django.db import DatabaseError, connection, transaction

from checkoffs.attempts.actions import close_no_show, open_second_sheet
from checkoffs.ledger.models import AuditEntry
from checkoffs.records import queries
from checkoffs.records.actions import amend, moderate, seal, sign, void
from checkoffs.records.canonical import canonical_bytes, digest_of, leaf_hash
from checkoffs.records.errors import RecordError
from checkoffs.records.models import RecordContent, RecordLeaf
from tests.records import make
from tests.world import World


def test_seal_freezes_the_canonical_snapshot(world: World) -> None:
    """The stored bytes are canonical, their digest and leaf hash are the leaf's, and the attempt is sealed."""
    leaf = make.sealed_infusion(world)
    stored = bytes(leaf.content.canonical)
    document = json.loads(stored)
    assert canonical_bytes(document) == stored
    assert digest_of(stored) == leaf.digest
    assert leaf_hash(leaf.digest) == leaf.leaf_hash
    assert (leaf.kind, leaf.outcome, leaf.index) == ("record", "unsatisfactory", 0)
    assert len(bytes.fromhex(document["salt"])) == 16
    leaf.attempt.refresh_from_db()
    assert (leaf.attempt.state, leaf.attempt.outcome) == ("sealed", "unsatisfactory")
    assert leaf.attempt.sealed_at == leaf.sealed_at


def test_snapshot_holds_no_cue_and_no_float(world: World) -> None:
    """What evaluators are told to look for is not the student's record; doses are decimal text."""
    text = bytes(make.sealed_infusion(world).content.canonical).decode()
    assert "Not for the record" not in text
    json.loads(text, parse_float=lambda found: pytest.fail(f"a float in the snapshot: {found}"))


def test_seal_writes_one_audit_entry(world: World) -> None:
    """Code, place and digest stand in the chain."""
    leaf = make.sealed_infusion(world)
    entry = AuditEntry.objects.get(act="record.sealed")
    assert entry.subject_id == str(leaf.pk)
    assert entry.detail["digest"] == leaf.digest
    assert entry.program == world.program


def test_indexes_have_no_gap(world: World) -> None:
    """Record, amendment, next record: 0, 1, 2, and each code is another."""
    first = make.sealed_infusion(world)
    amend(by=world.instructor, leaf=first, reason="Wrong mark.", changes={"outcome": "satisfactory"})
    make.sealed_infusion(world, number=2)
    assert list(RecordLeaf.objects.order_by("index").values_list("index", flat=True)) == [0, 1, 2]
    assert len(set(RecordLeaf.objects.values_list("code", flat=True))) == 3


def test_seal_refuses_what_is_not_finished(world: World) -> None:
    """Unsigned, in moderation, without a sheet, twice."""
    unsigned = make.finished_infusion(world)
    with pytest.raises(RecordError) as caught:
        seal(by=world.evaluator, attempt=unsigned)
    assert caught.value.code == "unsigned"
    waiting = make.in_moderation(world)
    assert waiting.state == "moderation"
    with pytest.raises(RecordError) as caught:
        seal(by=world.evaluator, attempt=waiting)
    assert caught.value.code == "needs_moderation"
    leaf = make.sealed_infusion(world, number=3)
    with pytest.raises(RecordError) as caught:
        seal(by=world.evaluator, attempt=leaf.attempt)
    assert caught.value.code == "already_sealed"
    empty = make.open_infusion(world, number=4)
    empty.sheets.all().delete()
    with pytest.raises(RecordError) as caught:
        seal(by=world.evaluator, attempt=empty)
    assert caught.value.code == "no_sheet"


def test_second_sheet_must_be_signed(world: World) -> None:
    """An opened second sheet holds the seal until it is signed."""
    attempt = make.finished_infusion(world)
    open_second_sheet(by=world.second_evaluator, attempt=attempt)
    sheet = attempt.sheets.get(kind="primary")
    assert sign(by=world.evaluator, sheet=sheet, shown="no_statement", statement="", how="password") is None
    with pytest.raises(RecordError) as caught:
        seal(by=world.evaluator, attempt=attempt)
    assert caught.value.code == "unsigned"


def test_sign_seals_when_nobody_else_is_needed(world: World) -> None:
    """Signature and seal stand or fall together."""
    attempt = make.finished_infusion(world)
    leaf = sign(
        by=world.evaluator, sheet=attempt.sheets.get(), shown="statement", statement="I was nervous.", how="password"
    )
    assert leaf is not None
    document = queries.snapshot_of(leaf)
    assert document is not None
    assert document["sheets"][0]["statement"] == "I was nervous."
    assert document["sheets"][0]["signed_how"] == "password"


def test_no_show_is_sealed_too(world: World) -> None:
    """Without a sheet, with its own reason."""
    attempt = close_no_show(
        by=world.evaluator,
        student=world.student,
        cohort=world.cohort,
        version=make.version_of(world),
        reason="Did not come to the slot at 10:00.",
    )
    leaf = seal(by=world.evaluator, attempt=attempt)
    document = queries.snapshot_of(leaf)
    assert document is not None
    assert leaf.outcome == "unsatisfactory"
    assert [reason["code"] for reason in document["decision"]["reasons"]] == ["no_show"]
    assert document["sheets"] == []


def test_moderation_settles_and_seals(world: World) -> None:
    """The instructor's verdict and reason decide, and stand in the record beside both sheets."""
    attempt = make.in_moderation(world)
    settled = {
        "about": {"type": "step", "id": "s24"},
        "verdict": "not_performed",
        "reason": "Seen on the second sheet.",
    }
    leaf = moderate(by=world.instructor, attempt=attempt, settlements=[settled], how="password")
    assert leaf is not None
    document = queries.snapshot_of(leaf)
    assert document is not None
    assert leaf.outcome == "unsatisfactory"
    assert [sheet["kind"] for sheet in document["sheets"]] == ["primary", "second", "moderation"]
    assert document["sheets"][2]["state"]["settled"]["step:s24"]["reason"] == "Seen on the second sheet."


def test_amendment_repeats_the_record_and_corrects_it(world: World) -> None:
    """The original's row and bytes stay; what stands is the amendment; the rule's decision is never touched."""
    leaf = make.sealed_infusion(world)
    before = bytes(leaf.content.canonical)
    made = amend(
        by=world.instructor,
        leaf=leaf,
        reason="The pump in station 4 showed the rate of the case before.",
        changes={"outcome": "satisfactory", "text": "Rate was read off a wrong display."},
    )
    document = queries.snapshot_of(made)
    assert document is not None
    assert document["amends"] == {"code": leaf.code, "digest": leaf.digest, "index": 0}
    assert document["author"]["signature"] == "Ruth Okonjo, RN"
    assert document["outcome"] == "satisfactory"
    assert document["decision"]["outcome"] == "unsatisfactory"
    assert document["salt"] != json.loads(before)["salt"]
    assert bytes(RecordContent.objects.get(leaf=leaf).canonical) == before
    assert queries.standing_of(leaf.attempt) == made
    attempt = queries.with_standing(type(leaf.attempt).objects.all()).get()
    assert (attempt.standing_outcome, attempt.standing_code, attempt.outcome) == (
        "satisfactory",
        made.code,
        "unsatisfactory",
    )


@pytest.mark.parametrize(
    ("changes", "reason", "field"),
    [
        ({"outcome": "excellent"}, "x", "outcome"),
        ({"outcome": "unsatisfactory"}, "x", "text"),
        ({"text": "  "}, "x", "text"),
        ({"text": "A word."}, "  ", "reason"),
    ],
)
def test_amendment_needs_a_change_and_a_reason(world: World, changes: Any, reason: str, field: str) -> None:
    """An outcome that is none, no change at all, no reason: refused with the field."""
    leaf = make.sealed_infusion(world)
    with pytest.raises(RecordError) as caught:
        amend(by=world.instructor, leaf=leaf, reason=reason, changes=changes)
    assert (caught.value.code, caught.value.field) == ("invalid", field)
    assert RecordLeaf.objects.count() == 1


def test_only_the_last_document_is_followed(world: World) -> None:
    """A superseded leaf and a void one take no successor; nobody changes their own record."""
    leaf = make.sealed_infusion(world)
    last = amend(by=world.instructor, leaf=leaf, reason="Typing.", changes={"text": "Station 5, not 4."})
    with pytest.raises(RecordError) as caught:
        amend(by=world.instructor, leaf=leaf, reason="Again.", changes={"text": "x"})
    assert caught.value.code == "superseded"
    with pytest.raises(RecordError) as caught:
        void(by=world.student, leaf=last, reason="I want it gone.")
    assert caught.value.code == "own_record"
    gone = void(by=world.coordinator, leaf=last, reason="Fire alarm.")
    assert gone.outcome == "void"
    with pytest.raises(RecordError) as caught:
        amend(by=world.instructor, leaf=gone, reason="Back.", changes={"outcome": "satisfactory"})
    assert caught.value.code == "void"


@pytest.mark.parametrize("table", ["checkoffs_recordleaf", "checkoffs_recordcontent", "checkoffs_attempt"])
def test_raw_sql_cannot_touch_a_sealed_record(world: World, table: str) -> None:
    """The triggers hold against the database itself: no update, no delete."""
    make.sealed_infusion(world)
    column = {"checkoffs_recordleaf": "code", "checkoffs_recordcontent": "canonical", "checkoffs_attempt": "outcome"}
    for statement in (f"UPDATE {table} SET {column[table]} = {column[table]}", f"DELETE FROM {table}"):
        with pytest.raises(DatabaseError), transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(statement)


def test_pdf_is_ordered_on_commit(world: World, django_capture_on_commit_callbacks: Any) -> None:
    """Sealing sets the PDF in the background, once."""
    with django_capture_on_commit_callbacks(execute=True):
        leaf = make.sealed_infusion(world)
    assert leaf.pdf.data[:5] == b"%PDF-"
    assert leaf.pdf.pages <= 2
