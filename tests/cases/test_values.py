"""How values are typed."""

from __future__ import annotations

import pytest

from checkoffs.cases.values import field_of, typed_of


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ("", None),
        (" ; ", None),
        ("250 mL", {"fixed": "250 mL"}),
        ("1,000 mL", {"fixed": "1,000 mL"}),
        ("3, 5, 7.5 mcg/kg/min", {"choose": ["3 mcg/kg/min", "5 mcg/kg/min", "7.5 mcg/kg/min"]}),
        ("3,5,7.5 mcg/kg/min", {"choose": ["3 mcg/kg/min", "5 mcg/kg/min", "7.5 mcg/kg/min"]}),
        ("62 kg; 154 lb", {"choose": ["62 kg", "154 lb"]}),
        ("500, 1,000 mL", {"choose": ["500 mL", "1,000 mL"]}),
        ("62 kg\n70\n154 lb", {"choose": ["62 kg", "70 lb", "154 lb"]}),
        ("as ordered", {"fixed": "as ordered"}),
    ],
)
def test_what_is_typed_is_one_value_or_a_set(typed: str, field: object) -> None:
    assert field_of(typed) == field


def test_a_field_shown_and_posted_back_is_the_same() -> None:
    for field in ({"fixed": "1,000 mL"}, {"choose": ["3 mcg/kg/min", "62 kg", "20 gtt/mL"]}):
        assert field_of(typed_of(field)) == field
