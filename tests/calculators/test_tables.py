"""Titration tables, each row from the exact concentration: 10 mg/h of 250 mg in 550 mL is 22 mL/h, not 10 ÷ 0.45.

Rows: FDA labelling, diltiazem injection, dilution table (from memory).
"""

import pytest

import calculators

BAG = {"drug_amount": "250 mg", "diluent_volume": "500 mL", "additive_volume": "50 mL", "additive_mode": "added"}


def table(first="5 mg/h", last="15 mg/h", by="5 mg/h", **more):
    return calculators.titration(first, last, by, {**BAG, **more}, {"places": 0})


def test_rows():
    assert [(row.dose, row.rate) for row in table()] == [
        ("5 mg/h", "11 mL/h"),
        ("10 mg/h", "22 mL/h"),
        ("15 mg/h", "33 mL/h"),
    ]


def test_a_step_in_another_unit_and_a_limit_on_one_row():
    rows = table(by="2,500 mcg/h", max_rate="30 mL/h")
    assert [row.dose for row in rows] == ["5 mg/h", "7.5 mg/h", "10 mg/h", "12.5 mg/h", "15 mg/h"]
    assert [bool(row.cautions) for row in rows] == [False, False, False, False, True]


@pytest.mark.parametrize(
    ("first", "last", "by", "code"),
    [
        ("5 mg/h", "15 mg/h", "1 mL/h", "wrong_dimension"),
        ("5 mg/h", "15 mcg/kg/min", "1 mg/h", "wrong_dimension"),
        ("15 mg/h", "5 mg/h", "1 mg/h", "out_of_range"),
        ("5 mg/h", "15 mg/h", "1 mcg/h", "out_of_range"),
        ("", "15 mg/h", "1 mg/h", "not_a_number"),
    ],
)
def test_refused(first, last, by, code):
    with pytest.raises(calculators.CalculationError) as refused:
        table(first, last, by)
    assert refused.value.code == code
