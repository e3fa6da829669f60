"""Two limits at once, checked for the exact rate and again for the rounded one; implausible numbers; double checks.

Limits: FDA labelling of potassium chloride, magnesium sulfate and vancomycin, as noted beside each row.
"""

import pytest

import calculators


def cautions(find, given, **more):
    answer = calculators.solve({"find": find, "given": given, **more})
    assert "error" not in answer, answer
    return [c for c in answer["cautions"] if not c.startswith("high-alert")]


POTASSIUM = {"concentration": "20 mEq/100 mL", "max_rate": "10 mEq/h", "max_per_day": "200 mEq/24 h"}
VANCOMYCIN = {"dose": "1 g", "concentration": "5 mg/mL", "max_rate": "10 mg/min", "min_time": "60 min"}


@pytest.mark.parametrize(
    ("given", "said"),
    [
        # potassium chloride: 10 mEq/h and 200 mEq in 24 h
        ({"dose": "8 mEq/h", **POTASSIUM}, []),
        ({"dose": "10 mEq/h", **POTASSIUM}, ["240 mEq in 24 h is above max_per_day 200 mEq/24 h"]),
        ({"dose": "12 mEq/h", **POTASSIUM}, ["12 mEq/h is above max_rate 10 mEq/h", "288 mEq in 24 h is above"]),
        # vancomycin: at most 10 mg/min and at least 60 min, so 1 g needs 100 min
        ({"time": "100 min", **VANCOMYCIN}, []),
        ({"time": "60 min", **VANCOMYCIN}, ["16.6666… mg/min is above max_rate 10 mg/min"]),
        ({"time": "50 min", **VANCOMYCIN}, ["20 mg/min is above", "50 min is below min_time 60 min"]),
        ({"volume": "100 mL", "time": "30 min", "min_time": "1 h"}, ["0.5 h is below min_time 1 h"]),
        ({"volume": "100 mL", "time": "1 h", "max_rate": "99 mL/h"}, ["100 mL/h is above max_rate 99 mL/h"]),
        ({"volume": "100 mL", "time": "1 h", "max_per_day": "2 L"}, ["2.4 L in 24 h is above max_per_day 2 L"]),
        ({"dose": "6 mcg/kg/min", "weight": "70 kg", "concentration": "1 mg/mL", "max_rate": "5 mcg/kg/min"},
         ["6 mcg/kg/min is above max_rate 5 mcg/kg/min"]),
    ],
)  # fmt: skip
def test_each_limit_is_checked(given, said):
    found = cautions("rate", given)
    assert len(found) == len(said)
    for caution, part in zip(found, said, strict=True):
        assert caution.startswith("limit exceeded")
        assert part in caution


def test_a_rate_that_is_above_only_once_rounded_is_caught():
    given = {"volume": "101 mL", "time": "8 h", "max_rate": "12.625 mL/h"}
    assert cautions("rate", given) == []
    assert cautions("rate", given, rounding={"places": 0}) == [
        "limit exceeded once rounded: 13 mL/h is above max_rate 12.625 mL/h"
    ]
    assert cautions("rate", given, rounding={"places": 0, "mode": "down"}) == []


def test_other_answers_are_held_to_the_limits_too():
    assert (
        "above max_rate" in cautions("drop_rate", {"rate": "120 mL/h", "drop_factor": 20, "max_rate": "100 mL/h"})[0]
    )
    assert "above max_rate" in cautions("duration", {"volume": "1 L", "rate": "120 mL/h", "max_rate": "30 gtt/min",
                                                     "drop_factor": "20"})[0]  # fmt: skip
    given = {"rate": "60 mL/h", "concentration": "20 mEq/100 mL", "to": "mEq/h", "max_rate": "10 mEq/h"}
    assert "12 mEq/h is above" in cautions("dose_rate", given)[0]


@pytest.mark.parametrize(
    ("given", "implausible"),
    [
        ({"volume": "999 mL", "time": "1 h"}, False),
        ({"volume": "1,000 mL", "time": "1 h"}, True),
        ({"volume": "1 mL", "time": "10 h"}, False),
        ({"volume": "0.9 mL", "time": "10 h"}, True),
    ],
)
def test_what_a_pump_takes(given, implausible):
    """0.1 to 999 mL/h: common practice."""
    assert bool(cautions("rate", given)) == implausible


@pytest.mark.parametrize(
    ("weight", "implausible"), [("0.3 kg", False), ("299 g", True), ("400 kg", False), ("900 lb", True)]
)
def test_weights(weight, implausible):
    given = {"dose": "5 mcg/kg/min", "weight": weight, "concentration": "1 mg/mL"}
    assert any("implausible weight" in c for c in cautions("rate", given)) == implausible


@pytest.mark.parametrize(
    ("find", "given", "alert"),
    [
        ("rate", {"dose": "900 units/h", "concentration": "100 units/mL"}, True),
        ("rate", {"dose": "10 mEq/h", "concentration": "1 mEq/mL"}, True),
        ("rate", {"dose": "5 mcg/kg/min", "weight": "70 kg", "concentration": "1 mg/mL"}, True),
        ("dose_rate", {"rate": "9 mL/h", "weight": "70 kg", "concentration": "1 mg/mL", "to": "mcg/kg/min"}, True),
        ("rate", {"dose": "5 mg/h", "concentration": "1 mg/mL"}, False),
        ("rate", {"volume": "500 mL", "time": "8 h"}, False),
        ("convert", {"value": "10 units", "to": "milliunits"}, False),
    ],
)
def test_kinds_of_order_that_are_often_high_alert_ask_for_a_double_check(find, given, alert):
    answer = calculators.solve({"find": find, "given": given})
    assert any("independent double check" in c for c in answer["cautions"]) == alert
