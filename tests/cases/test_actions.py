"""Drawing a case for an attempt: frozen, with its seed, and in the audit trail; and reading templates."""

from __future__ import annotations

import pytest
from django.db import DatabaseError, transaction

from checkoffs.cases import actions
from checkoffs.cases.actions import draw_case
from checkoffs.cases.errors import CaseError, TemplateRefusedError
from checkoffs.cases.models import DrawnCase
from checkoffs.cases.queries import answers, preview, templates_of
from checkoffs.ledger.queries import entries_about
from checkoffs.people.permissions import Access
from checkoffs.procedures.errors import ConflictError
from tests.attempts.make import small_version
from tests.cases.make import pump_document, pump_template
from tests.procedures.make import drafted
from tests.world import World


def test_a_drawn_case_is_kept_with_seed_and_key(world: World) -> None:
    template = pump_template(world, small_version(world).procedure)
    case = draw_case(by=world.evaluator, template=template, seed=7)
    case.refresh_from_db()
    assert (case.seed, case.template_revision, case.calculators) == (7, 1, case.answer_key["calculators"])
    assert set(case.content) == {"title", "order", "lines", "values"}
    assert [entry.act for entry in entries_about(case)] == ["case.drawn"]
    with pytest.raises(DatabaseError), transaction.atomic():
        DrawnCase.objects.filter(pk=case.pk).update(seed=8)


def test_without_a_seed_two_cases_differ_in_theirs(world: World) -> None:
    template = pump_template(world, small_version(world).procedure)
    first, second = (draw_case(by=world.evaluator, template=template) for _ in range(2))
    assert first.seed != second.seed


def test_nothing_is_kept_of_a_case_that_cannot_be_computed(world: World) -> None:
    template = pump_template(
        world, small_version(world).procedure, fields={"volume": {"fixed": "250 mL"}}, label="", order="Give it"
    )
    with pytest.raises(CaseError):
        draw_case(by=world.evaluator, template=template, seed=1)
    assert not DrawnCase.objects.exists()
    assert preview(template)["error"]["code"] in {"unknown_field", "cannot_compute"}


def test_templates_are_seen_inside_the_program_only(world: World) -> None:
    template = pump_template(world, small_version(world).procedure)
    assert list(templates_of(Access.of(world.evaluator))) == [template]
    assert not templates_of(Access.of(world.outsider)).exists()
    assert not templates_of(Access.of(world.student)).exists()
    assert answers(template) == {"rate", "vtbi"}
    assert preview(template)["content"]["title"] == "Dopamine by pump"


def test_a_template_is_kept_only_when_all_its_numbers_compute(world: World) -> None:
    procedure = drafted(world)
    document = pump_document()
    document["fields"]["reserve"] = {"choose": ["20 mL", "300 mL"]}
    with pytest.raises(TemplateRefusedError) as caught:
        actions.create_template(by=world.instructor, procedure=procedure, content=document)
    assert "300 mL" in str(caught.value)
    template = actions.create_template(by=world.instructor, procedure=procedure, content=pump_document())
    assert entries_about(template).get().act == "case.created"


def test_a_stale_change_of_a_template_is_refused_with_what_came_between(world: World) -> None:
    template = actions.create_template(by=world.instructor, procedure=drafted(world), content=pump_document())
    actions.save_template(
        by=world.second_instructor, template=template, content=pump_document(drug="dobutamine"), revision=1
    )
    with pytest.raises(ConflictError) as error:
        actions.save_template(by=world.instructor, template=template, content=pump_document(), revision=1)
    assert [(change.by, change.changed) for change in error.value.changes] == [
        (str(world.second_instructor), ("drug",))
    ]
    template.refresh_from_db()
    assert (template.content["drug"], template.revision) == ("dobutamine", 2)
