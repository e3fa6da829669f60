"""A drawn case: the same for the same seed, its key right by arithmetic of our own, its errors named."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from checkoffs.cases import drawing
from checkoffs.cases.errors import CaseError
from tests.cases.make import PUMP, pump_document


@settings(max_examples=25, deadline=None)
@given(st.integers(min_value=0, max_value=2**53 - 1))
def test_the_key_is_right_by_plain_arithmetic(seed: int) -> None:
    """mL/h = dose × weight × 60 ÷ concentration (common practice), in fractions, rounded half up to a tenth."""
    drawn = drawing.draw(PUMP, seed)
    dose, weight = (Fraction(drawn.values[name].split()[0]) for name in ("dose", "weight"))
    exact = dose * weight * 60 / Fraction(400_000, 250)
    rate, vtbi = drawn.answer_key["checks"]
    assert Fraction(rate["exact"]) == exact
    assert Fraction(rate["expected"]) == Fraction(int(exact * 10 + Fraction(1, 2)), 10)
    assert vtbi["text"] == "230 mL"
    assert drawing.draw(PUMP, seed) == drawn


def test_the_order_is_filled_and_nothing_is_left_out() -> None:
    drawn = drawing.draw(PUMP, 4)
    assert "{" not in drawn.content["order"]
    assert drawn.values["dose"] in drawn.content["order"]
    assert {line["label"]: line["value"] for line in drawn.content["lines"]} == {
        "Patient": "E. Quill (invented)",
        "Drug": "dopamine",
        "Label of the bag": "dopamine 400 mg in 250 mL",
        "Keep in reserve": "20 mL",
    }


def test_seeds_reach_every_choice() -> None:
    assert {drawing.draw(PUMP, seed).values["dose"] for seed in range(40)} == set(PUMP["fields"]["dose"]["choose"])


def test_likely_slips_that_look_the_same_count_as_clashes() -> None:
    """2 mcg/kg/min for 22 lb: taken as 22 kg 1.65 mL/h; with the strength upside down (0.625 for 1.6) 1.92 mL/h; both
    are stated as 2. To a tenth they differ (own arithmetic)."""
    document = pump_document(checks=[PUMP["checks"][0] | {"rounding": {"places": 0}, "also_accepted": []}])
    values = {"dose": "2 mcg/kg/min", "weight": "22 lb", "drug_amount": "400 mg", "volume": "250 mL"}
    assert drawing.with_values(document, values).clashes == 1
    document["checks"][0]["rounding"] = {"places": 1}
    assert drawing.with_values(document, values).clashes == 0


def test_rare_slips_that_look_the_same_are_no_clash() -> None:
    """62 kg at 5 mcg/kg/min: without weight 0.1875, without the hour 0.19375, both stated as 0.2 (own arithmetic)."""
    values = {name: field.get("fixed", "") for name, field in PUMP["fields"].items()}
    found = drawing.with_values(PUMP, values | {"dose": "5 mcg/kg/min", "weight": "62 kg"})
    said = [slip["value"] for slip in found.answer_key["checks"][0]["slips"]]
    assert said.count("0.2") > 1
    assert found.clashes == 0


def test_what_cannot_be_computed_names_the_field() -> None:
    document = pump_document()
    document["fields"]["weight"] = {"fixed": "70"}
    with pytest.raises(CaseError) as caught:
        drawing.draw(document, 1)
    assert caught.value.code == "cannot_compute"
    assert caught.value.field == "fields.weight"
    assert "Rate" in caught.value.message


def test_what_is_missing_names_the_check() -> None:
    document = pump_document()
    del document["fields"]["reserve"], document["fields"]["drug_amount"]
    document["label"] = ""
    document["checks"] = document["checks"][:1]
    with pytest.raises(CaseError) as caught:
        drawing.draw(document, 1)
    assert caught.value.field.startswith("checks.0")
