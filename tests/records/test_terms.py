"""What codes and ids are called on a record."""

from __future__ import annotations

from checkoffs.records.paper import terms_of
from tests.records import documents


def test_steps_letters_checks_and_slips() -> None:
    terms = terms_of(documents.record())
    step = next(key for key, held in terms.steps.items() if held["number"] == 24)
    assert (terms.step(step), terms.step(None), terms.step("nowhere")) == (24, None, None)
    assert terms.text(step) == "Scrubs the hub for the full time and lets it dry"
    assert terms.checks["rate"]["label"] == "Rate"
    assert terms.slips["rate"].lower() == "pounds taken as kilograms"
    section = next(iter(terms.letters))
    assert terms.scope({"scope": "section", "of": section}) == f"section {terms.letters[section]}"
