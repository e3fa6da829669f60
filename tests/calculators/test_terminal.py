"""What a person at a terminal reads: one problem in words, a titration table, and plain refusals."""

from __future__ import annotations

from calculators.terminal import NOT_DONE, explain, table

GIVEN = ["weight=70 kg", "concentration=1600 mcg/mL"]


def test_one_problem_in_words() -> None:
    text, status = explain(["rate", "dose=5 mcg/kg/min", *GIVEN, "places=1"])
    assert status == 0
    assert "13.1 mL/h" in text
    assert "facility policy" in " ".join(text.split()).lower()


def test_a_table_has_a_row_a_step() -> None:
    """2, 4 and 6 mcg/kg/min × 70 kg × 60 ÷ 1,600 = 5.25, 10.5, 15.75 mL/h, by hand."""
    text, status = table(["from=2 mcg/kg/min", "up_to=6 mcg/kg/min", "by=2 mcg/kg/min", *GIVEN, "places=2"])
    assert status == 0
    assert all(value in text for value in ("5.25", "10.5", "15.75"))


def test_a_refusal_says_what_would_do() -> None:
    text, status = explain(["rate", "dose 5"])
    assert status == NOT_DONE
    assert "dose 5" in text
