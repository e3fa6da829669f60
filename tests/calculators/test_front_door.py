"""The front door: the four answers a checkoff states, their keys and verdicts.

Figures are worked by hand with plain fractions beside each check; conventions are common practice.
"""

from fractions import Fraction

import pytest

import calculators

DOPAMINE = {
    "dose": "5 mcg/kg/min",
    "weight": "154 lb",
    "drug_amount": "800 mg",
    "volume": "500 mL",
    "reserve": "30 mL",
}
TENTH = {"places": 1}


def solve(find, given, **more):
    return calculators.solve({"id": 7, "find": find, "given": given, **more})


def test_rate_from_dose_weight_and_bag():
    answer = solve("rate", DOPAMINE, rounding=TENTH)
    assert Fraction(answer["exact"]) == Fraction(5 * 70 * 60, 1600)
    assert (answer["id"], answer["value"], answer["unit"], answer["text"]) == (7, "13.1", "mL/h", "13.1 mL/h")
    assert answer["working"] == [
        "154 lb ÷ 2.2 lb/kg = 70 kg",
        "800 mg ÷ 500 mL = 1.6 mg/mL",
        "× 1,000 mcg/mg = 1,600 mcg/mL",
        "5 mcg/kg/min × 70 kg = 350 mcg/min",
        "× 60 min/h = 21,000 mcg/h",
        "÷ 1,600 mcg/mL = 13.125 mL/h",
        "to a tenth = 13.1 mL/h",
    ]


def test_vtbi_is_the_bag_less_its_reserve():
    assert solve("vtbi", DOPAMINE)["text"] == "470 mL"


def test_drops_per_minute_round_to_a_whole_drop():
    answer = solve("drop_rate", {"volume": "1 L", "time": "8 h", "drop_factor": "20"}, rounding={"places": 0})
    assert (answer["exact"], answer["text"]) == ("125/3", "42 gtt/min")


def test_duration_in_hours():
    answer = solve("duration", {"volume": "500 mL", "rate": "75 mL/h"})
    assert (answer["exact"], answer["value"]) == ("20/3", "6.66666666667")


def test_an_error_is_data_with_field_and_what_would_do():
    answer = solve("rate", {**DOPAMINE, "weight": "seventy"})
    assert answer["id"] == 7
    assert answer["error"]["code"] == "not_a_number"
    assert answer["error"]["field"] == "weight"
    assert "seventy" in answer["error"]["message"]
    assert "accepted" in answer["error"]["message"]


@pytest.fixture(scope="module")
def key():
    return calculators.answer_key(
        {
            "id": "rate",
            "label": "Rate",
            "find": "rate",
            "given": DOPAMINE,
            "rounding": TENTH,
            "also_accepted": [{"places": 0}],
        }
    )


def test_the_key_says_what_is_expected_and_accepted(key):
    assert (key["id"], key["label"], key["unit"], key["exact"]) == ("rate", "Rate", "mL/h", "105/8")
    assert (key["expected"], key["text"]) == ("13.1", "13.1 mL/h")
    assert key["accepted"] == [
        {"low": "13.1", "high": "13.1", "verdict": "right", "why": "to a tenth, half up"},
        {"low": "13", "high": "13", "verdict": "right_other_rounding", "why": "to a whole number, half up"},
    ]
    assert key["working"][-1] == {"text": "to a tenth", "gives": "13.1 mL/h"}
    assert calculators.CAUTION in key["cautions"]


def test_a_slip_stands_beside_the_right_working_line_for_line(key):
    slip = next(s for s in key["slips"] if s["code"] == "pounds_as_kilograms")
    assert (slip["value"], slip["exact"]) == ("28.9", "231/8")
    assert len(slip["working"]) == len(key["working"])
    assert slip["working"][0] == {"text": "154 lb, not divided", "gives": "154 kg"}


@pytest.mark.parametrize(
    ("number", "unit", "code"),
    [
        ("13.1", "mL/h", "right"),
        ("13.1", "ml/hr", "right"),
        ("13.10", "mL/h", "right"),
        ("13", "mL/h", "right_other_rounding"),
        ("13.1", None, "missing_unit"),
        ("13.1", "mL/min", "wrong_unit"),
        ("13.1", "furlongs", "wrong_unit"),
        ("28.9", "mL/h", "wrong"),
        ("28.9", None, "wrong"),
        ("1,4", "mL/h", "unreadable"),
        ("", "mL/h", "unreadable"),
    ],
)
def test_verdicts(key, number, unit, code):
    assert calculators.verify(key, number, unit)["code"] == code


def test_the_likely_slip_is_named_first(key):
    first = calculators.verify(key, "28.9", "mL/h")["slips"][0]
    assert (first["code"], first["value"], first["fit"]) == ("pounds_as_kilograms", "28.9", "1")


def test_notation_is_reported_apart_from_the_value(key):
    verdict = calculators.verify(key, "13.10", "mL/h")
    assert verdict["code"] == "right"
    assert verdict["notation"] == ["trailing zero: write 13.1, not 13.10"]


def test_a_key_that_cannot_be_computed_is_refused_with_its_field():
    with pytest.raises(calculators.CalculationError) as refused:
        calculators.answer_key({"id": "r", "find": "rate", "given": {"dose": "5 mcg/kg/min"}, "rounding": TENTH})
    assert (refused.value.code, refused.value.field) == (
        "missing",
        "weight",
    ) or refused.value.field == "concentration"
