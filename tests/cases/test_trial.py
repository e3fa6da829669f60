"""Trying a template out: every combination is really computed, and errors name their field and numbers."""

from __future__ import annotations

from checkoffs.cases.trial import EVERY, SAMPLE, trial
from tests.cases.make import pump_document


def test_every_combination_is_computed_when_they_are_few() -> None:
    found = trial(pump_document())
    assert (found.combinations, found.tried, found.errors) == (9, 9, ())
    assert "Rate: high-alert infusion: independent double check before it starts" in found.cautions


def test_of_many_combinations_the_ends_and_a_sample_are_computed() -> None:
    document = pump_document()
    document["fields"]["weight"] = {"choose": [f"{kg} kg" for kg in range(40, 99)]}
    document["fields"]["volume"] = {"choose": ["50 mL", "100 mL", "250 mL"]}
    document["checks"][1]["uses"] = ["volume", "reserve"]
    found = trial(document)
    assert found.combinations == 3 * 59 * 3 > EVERY
    assert found.tried == 2 * 2 * 2 + SAMPLE
    assert found.errors == ()


def test_one_bad_number_among_many_is_found_and_named() -> None:
    document = pump_document()
    document["fields"]["weight"] = {"choose": ["62 kg", "70 kg", "83"]}
    error = trial(document).errors[0]
    assert (error.code, error.field) == ("cannot_compute", "fields.weight")
    assert "83" in error.message
    assert "Rate cannot be computed" in error.message


def test_a_reserve_larger_than_the_bag_is_refused() -> None:
    document = pump_document()
    document["fields"]["reserve"] = {"choose": ["20 mL", "300 mL"]}
    errors = trial(document).errors
    assert errors
    assert "300 mL" in errors[0].message


def test_an_answer_that_rounds_to_nothing_is_refused() -> None:
    """0.01 mcg/kg/min × 62 kg = 0.62 mcg/min; 1.6 mg/mL gives 0.023 mL/h, 0.0 to a tenth (own arithmetic)."""
    document = pump_document()
    document["fields"]["dose"] = {"fixed": "0.01 mcg/kg/min"}
    error = trial(document).errors[0]
    assert (error.code, error.field) == ("rounds_to_nothing", "checks.0.rounding")


def test_a_bad_tolerance_and_a_malformed_document_are_refused() -> None:
    document = pump_document()
    document["checks"][0]["tolerance"] = {"low": "9"}
    assert [error.field for error in trial(document).errors] == ["checks.0.tolerance"]
    assert [error.code for error in trial({"title": "x"}).errors][:1] == ["missing"]
