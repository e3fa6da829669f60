"""Reading procedures: who sees which, what cases answer, what colleagues changed; layout and errors beside them."""

from __future__ import annotations

from checkoffs.people.permissions import Access, Act
from checkoffs.procedures import actions, editing, queries
from checkoffs.procedures.layout import places_of, sections_of, sentences_of, shape_path, steps_with_findings
from tests.cases.make import PUMP, pump_template
from tests.procedures.make import drafted, ids, published, pulse
from tests.world import World


def test_procedures_are_seen_in_their_program_only(world: World) -> None:
    procedure = published(world)
    assert list(queries.procedures_seen(Access.of(world.evaluator))) == [procedure]
    assert not queries.procedures_seen(Access.of(world.outsider)).exists()
    assert not queries.procedures_seen(Access.of(world.student)).exists()
    assert not queries.procedures_seen(Access.of(world.evaluator), Act.WRITE_PROCEDURES).exists()


def test_the_case_that_answers_most_counts(world: World) -> None:
    procedure = drafted(world)
    pump_template(world, procedure, checks=PUMP["checks"][:1])
    assert queries.case_answers(procedure, {"rate", "vtbi"}) == {"rate"}
    whole = pump_template(world, procedure)
    assert queries.case_answers(procedure, {"rate", "vtbi"}) == {"rate", "vtbi"}
    whole.retired_at = world.instructor.date_joined
    whole.save()
    assert queries.case_answers(procedure, {"rate", "vtbi"}) == {"rate"}


def test_changes_since_a_revision_are_told_oldest_first(world: World) -> None:
    procedure, content = drafted(world), pulse()
    for revision, by in ((1, world.instructor), (2, world.second_instructor)):
        content = editing.change_step(content, ids(content)[0], cue=f"cue {revision}")
        actions.save_draft(by=by, procedure=procedure, content=content, revision=revision)
    assert [change.by for change in queries.changes_since(procedure, 1)] == [
        str(world.instructor),
        str(world.second_instructor),
    ]
    assert len(queries.changes_since(procedure, 2)) == 1


def test_newest_content_is_the_draft_and_else_the_newest_version(world: World) -> None:
    procedure = published(world)
    assert queries.newest_content(procedure) == queries.content_of(procedure.versions.get())
    actions.open_draft(by=world.instructor, procedure=procedure)
    changed = editing.change(pulse(), summary="Other")
    actions.save_draft(by=world.instructor, procedure=procedure, content=changed, revision=1)
    newest = queries.newest_content(procedure)
    assert newest is not None
    assert newest["summary"] == "Other"


def test_findings_lead_to_where_they_are_corrected(world: World) -> None:
    content = editing.change_step(pulse(), ids(pulse())[0], text="")
    content["rule"]["pairs"] = [{"id": "p1", "before": ids(content)[0], "after": "gone"}]
    places = places_of(content, queries.findings_of(drafted(world), content))
    pages = {place.finding.where.partition(":")[0]: (place.page, place.query, place.anchor) for place in places}
    assert pages["step"] == ("edit", f"?step={ids(content)[0]}", "panel")
    assert pages["pair"] == ("rule", "", "pairs")
    assert list(steps_with_findings(places)) == [ids(content)[0]]


def test_layout_numbers_through_and_reads_the_rule_back() -> None:
    shown = sections_of(pulse())
    assert [(one.letter, [found.number for found in one.steps]) for one in shown] == [("A", [1, 2]), ("B", [3, 4, 5])]
    assert sentences_of(pulse())[0].startswith("Every critical step must be satisfied: ")
    broken = pulse()
    broken["rule"]["pairs"] = [{"id": "p1", "before": "gone", "after": "gone"}]
    assert sentences_of(broken) == []
    assert shape_path("sections.1.steps.0.text", pulse()) == "step 3, text"
    assert shape_path("rule.score", pulse()) == "rule.score"
