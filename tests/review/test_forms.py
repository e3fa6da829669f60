"""What the forms of the review room take and refuse."""

from __future__ import annotations

from checkoffs.people.models import Cohort
from checkoffs.review.forms import ReceiptForm, TaskFilter
from checkoffs.review.models import LONGEST_STATEMENT
from tests.world import World


def test_a_statement_may_be_empty_and_has_an_end() -> None:
    assert ReceiptForm({"statement": ""}).is_valid()
    assert not ReceiptForm({"statement": "x" * (LONGEST_STATEMENT + 1)}).is_valid()


def test_another_cohort_is_no_choice(world: World) -> None:
    mine = Cohort.objects.filter(pk=world.cohort.pk)
    assert TaskFilter({"cohort": world.cohort.pk}, cohorts=mine).is_valid()
    assert not TaskFilter({"cohort": world.other_cohort.pk}, cohorts=mine).is_valid()
