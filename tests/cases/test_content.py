"""What may stand in a case template, and what is refused by name of the field."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from checkoffs.cases import content
from checkoffs.cases.errors import CaseError
from tests.cases.make import pump_document


def test_a_sound_document_has_no_problem() -> None:
    assert content.problems(pump_document()) == []


@pytest.mark.parametrize(
    ("change", "code", "field"),
    [
        ({"title": ""}, "not_a_text", "title"),
        ({"order": None}, "missing", "order"),
        ({"order": "Give {amount}"}, "unknown_slot", "order"),
        ({"order": "Give {dose"}, "unknown_slot", "order"),
        ({"label": "{dose.real}"}, "unknown_slot", "label"),
        ({"colour": "red"}, "unknown_field", "colour"),
        ({"fields": {}}, "missing", "fields"),
        ({"checks": []}, "missing", "checks"),
    ],
)
def test_problems_name_their_field(change: dict[str, Any], code: str, field: str) -> None:
    found = content.problems(pump_document(**change))
    assert (code, field) in {(one.code, one.field) for one in found}


@pytest.mark.parametrize(
    "field",
    [{}, {"fixed": "1 mL", "choose": ["2 mL"]}, {"choose": []}, {"choose": ["1 mL", "1 mL"]}, {"fixed": 5}, "5 mL"],
)
def test_a_field_is_fixed_or_chosen(field: Any) -> None:
    document = pump_document()
    document["fields"]["volume"] = field
    assert [one.field for one in content.problems(document)] == ["fields.volume"]


def test_two_checks_may_not_share_an_id() -> None:
    document = pump_document()
    document["checks"][1]["id"] = "rate"
    assert [one.code for one in content.problems(document)] == ["duplicate"]


def test_check_raises_the_first_problem() -> None:
    with pytest.raises(CaseError) as caught:
        content.check([])
    assert caught.value.as_dict()["code"] == "not_an_object"


@given(
    st.recursive(
        st.none() | st.booleans() | st.integers() | st.text(max_size=8),
        lambda inner: (
            st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from([*pump_document(), "id", "x"]), inner)
        ),
        max_leaves=20,
    )
)
def test_garbage_is_answered_with_problems(document: Any) -> None:
    assert content.problems(document)


@given(
    st.sampled_from(sorted(pump_document())),
    st.none() | st.integers() | st.lists(st.integers()) | st.dictionaries(st.text(), st.text()),
)
def test_one_wrong_part_never_raises(name: str, value: Any) -> None:
    for one in content.problems(pump_document(**{name: value})):
        assert isinstance(one, CaseError)
