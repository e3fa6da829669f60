"""Drawing a case for an attempt: frozen, with its seed, and in the audit trail; and reading templates."""

from __future__ import annotations

import pytest
from django.db import DatabaseError, transaction

from checkoffs.cases.actions import draw_case
from checkoffs.cases.errors import CaseError
from checkoffs.cases.models import DrawnCase
from checkoffs.cases.queries import answers, preview, templates_of
from checkoffs.ledger.queries import entries_about
from checkoffs.people.permissions import Access
from tests.attempts.make import small_version
from tests.cases.make import pump_template
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
