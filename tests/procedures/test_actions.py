"""Writing procedures: drafts that lose nobody's change, versions that never change."""

from __future__ import annotations

import hashlib
import json

import pytest
from django.db import DatabaseError, transaction

from checkoffs.ledger.queries import entries_about, first_broken_entry
from checkoffs.procedures import actions, editing
from checkoffs.procedures.content import completed
from checkoffs.procedures.errors import (
    ConflictError,
    ContentError,
    NoDraftError,
    ProcedureError,
    PublishRefusedError,
    RetiredError,
)
from checkoffs.procedures.models import ProcedureDraft, ProcedureVersion
from tests.cases.make import pump_template
from tests.procedures.make import drafted, ids, published, pulse
from tests.world import World


def draft(procedure: object) -> ProcedureDraft:
    return ProcedureDraft.objects.get(procedure=procedure)


def test_a_new_procedure_begins_as_a_draft(world: World) -> None:
    procedure = drafted(world)
    assert procedure.title == "Measure a pulse at the wrist"
    assert draft(procedure).revision == 1
    assert [entry.act for entry in entries_about(procedure)] == ["procedure.created"]


def test_a_procedure_without_title_or_with_a_malformed_list_is_refused(world: World) -> None:
    with pytest.raises(ProcedureError, match="title"):
        drafted(world, title="  ")
    with pytest.raises(ContentError) as caught:
        drafted(world, sections=[{"id": "a", "steps": [{"id": "a b", "text": ""}]}])
    assert caught.value.problems[0].path == "sections.0.steps.0.id"


def test_saving_counts_up_and_says_what_changed(world: World) -> None:
    procedure = drafted(world)
    content = pulse()
    step = ids(content)[0]
    actions.save_draft(
        by=world.instructor, procedure=procedure, content=editing.change_step(content, step, cue="Look"), revision=1
    )
    assert draft(procedure).revision == 2
    entry = entries_about(procedure).last()
    assert entry is not None
    assert entry.detail == {"revision": 2, "changed": ["step 1 “Clean hands”: cue"]}
    assert first_broken_entry() is None


def test_saving_the_same_again_changes_nothing(world: World) -> None:
    procedure = drafted(world)
    actions.save_draft(by=world.instructor, procedure=procedure, content=pulse(), revision=1)
    assert draft(procedure).revision == 1


def test_a_stale_change_is_refused_and_names_the_colleague_and_the_change(world: World) -> None:
    procedure = drafted(world)
    first, second = ids(pulse())[:2]
    theirs = editing.change_step(pulse(), first, text="Wash hands")
    actions.save_draft(by=world.second_instructor, procedure=procedure, content=theirs, revision=1)
    mine = editing.change_step(pulse(), second, cue="Mine")
    with pytest.raises(ConflictError) as caught:
        actions.save_draft(by=world.instructor, procedure=procedure, content=mine, revision=1)
    assert caught.value.revision == 2
    assert [(c.by, c.changed) for c in caught.value.changes] == [
        (str(world.second_instructor), ("step 1 “Wash hands”: words",))
    ]
    assert draft(procedure).content == theirs


def test_publishing_freezes_the_draft_with_its_digest(world: World) -> None:
    """RFC 8785: members sorted by code unit, no white space; for this ASCII-keyed, float-free document the standard
    library's sorted, compact JSON is the same text."""
    procedure = drafted(world)
    version = actions.publish(by=world.instructor, procedure=procedure, revision=1)
    assert (version.number, version.published_by) == (1, world.instructor)
    assert version.content == completed(pulse())
    canonical = json.dumps(completed(pulse()), sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    assert version.digest == hashlib.sha256(canonical.encode()).hexdigest()
    assert not ProcedureDraft.objects.filter(procedure=procedure).exists()


def test_a_published_version_cannot_be_changed(world: World) -> None:
    version = published(world).versions.get()
    with pytest.raises(DatabaseError), transaction.atomic():
        ProcedureVersion.objects.filter(pk=version.pk).update(number=7)


def test_publishing_refuses_with_every_reason(world: World) -> None:
    content = pulse()
    for step in ids(content)[:2]:
        content = editing.change_step(content, step, critical=True, critical_reason="", text="")
    procedure = drafted(world, **content)
    with pytest.raises(PublishRefusedError) as caught:
        actions.publish(by=world.instructor, procedure=procedure, revision=1)
    codes = [finding.code for finding in caught.value.findings]
    assert codes.count("critical_without_reason") == 2
    assert codes.count("step_without_text") == 2
    assert not procedure.versions.exists()


def test_publishing_a_draft_that_moved_on_is_refused(world: World) -> None:
    procedure = drafted(world)
    with pytest.raises(ConflictError):
        actions.publish(by=world.instructor, procedure=procedure, revision=9)


def test_a_stated_value_needs_a_case_in_use_that_answers_it(world: World) -> None:
    content = pulse()
    content["rule"]["stated"] = [{"id": "rate", "label": "Rate", "step": ids(content)[3]}]
    procedure = drafted(world, **content)
    with pytest.raises(PublishRefusedError) as caught:
        actions.publish(by=world.instructor, procedure=procedure, revision=1)
    assert [finding.code for finding in caught.value.findings] == ["stated_without_case"]
    pump_template(world, procedure)
    assert actions.publish(by=world.instructor, procedure=procedure, revision=1).number == 1


def test_the_next_draft_starts_from_the_newest_version_and_is_opened_once(world: World) -> None:
    procedure = published(world)
    opened = actions.open_draft(by=world.instructor, procedure=procedure)
    assert opened.content == procedure.versions.get().content
    assert actions.open_draft(by=world.second_instructor, procedure=procedure).pk == opened.pk
    assert actions.publish(by=world.instructor, procedure=procedure, revision=opened.revision).number == 2


def test_the_title_in_use_changes_with_the_version_and_not_with_the_draft(world: World) -> None:
    procedure = published(world)
    opened = actions.open_draft(by=world.instructor, procedure=procedure)
    new = editing.change(opened.content, title="Count a pulse")
    actions.save_draft(by=world.instructor, procedure=procedure, content=new, revision=1)
    procedure.refresh_from_db()
    assert procedure.title == "Measure a pulse at the wrist"
    actions.publish(by=world.instructor, procedure=procedure, revision=2)
    procedure.refresh_from_db()
    assert procedure.title == "Count a pulse"


def test_a_draft_is_thrown_away_only_when_a_version_stands_behind_it(world: World) -> None:
    procedure = drafted(world)
    with pytest.raises(ProcedureError, match="all there is"):
        actions.discard_draft(by=world.instructor, procedure=procedure, revision=1)
    actions.publish(by=world.instructor, procedure=procedure, revision=1)
    with pytest.raises(NoDraftError):
        actions.discard_draft(by=world.instructor, procedure=procedure, revision=1)
    actions.open_draft(by=world.instructor, procedure=procedure)
    actions.discard_draft(by=world.instructor, procedure=procedure, revision=1)
    assert not ProcedureDraft.objects.exists()


def test_a_retired_procedure_is_not_written_until_it_is_back(world: World) -> None:
    procedure = published(world)
    actions.retire(by=world.instructor, procedure=procedure)
    for refused in (actions.open_draft, actions.retire):
        with pytest.raises(RetiredError):
            refused(by=world.instructor, procedure=procedure)
    actions.bring_back(by=world.instructor, procedure=procedure)
    assert actions.open_draft(by=world.instructor, procedure=procedure).revision == 1
