"""Gravity drips. Usual drop factors: 10, 15, 20, 60 gtt/mL (common practice; 20 and 60 in ISO 8536-4:2020, 7.8)."""

import pytest

import calculators


def solve(given, **more):
    return calculators.solve({"find": "drop_rate", "given": given, **more})


@pytest.mark.parametrize(
    ("given", "exact", "unit"),
    [
        ({"rate": "125 mL/h", "drop_factor": "20 gtt/mL"}, "125/3", "gtt/min"),
        ({"rate": "125 mL/h", "drop_factor": 60}, "125", "gtt/min"),
        ({"rate": "63 mL/h", "volume": "500 mL", "time": "8 h", "drop_factor": "20"}, "21", "gtt/min"),
        ({"volume": "1 L", "time": "8 h", "drop_factor": "15"}, "125/4", "gtt/min"),
        ({"dose": "10 mg/h", "concentration": "1 mg/10 mL", "drop_factor": "15"}, "25", "gtt/min"),
        ({"rate": "120 mL/h", "drop_factor": "20", "to": "gtt/h"}, "2400", "gtt/h"),
        ({"rate": "120 mL/h", "drop_factor": "20", "to": "s/gtt"}, "3/2", "s/gtt"),
        ({"rate": "120 mL/h", "drop_factor": "20", "to": "min/gtt"}, "1/40", "min/gtt"),
    ],
)
def test_drops(given, exact, unit):
    answer = solve(given)
    assert (answer["exact"], answer["unit"]) == (exact, unit)


@pytest.mark.parametrize(
    ("given", "code", "field"),
    [
        ({"rate": "125 mL/h"}, "missing", "drop_factor"),
        ({"drop_factor": "20"}, "missing", "rate"),
        ({"rate": "100 mL/h", "volume": "500 mL", "time": "4 h", "drop_factor": "20"}, "conflict", "rate"),
        ({"rate": "125 mL/h", "drop_factor": "20 mL/gtt"}, "wrong_dimension", "drop_factor"),
        ({"rate": "125 mL/h", "drop_factor": "0"}, "out_of_range", "drop_factor"),
        ({"rate": "125 mL/h", "drop_factor": "-20 gtt/mL"}, "out_of_range", "drop_factor"),
        ({"rate": "125 mL/h", "drop_factor": "20", "to": "mL/h"}, "wrong_dimension", "to"),
    ],
)
def test_refused(given, code, field):
    error = solve(given)["error"]
    assert (error["code"], error["field"]) == (code, field)


def test_an_unusual_set_and_an_uncountable_rate_earn_a_caution():
    assert "unusual drop factor 17 gtt/mL" in solve({"rate": "60 mL/h", "drop_factor": "17"})["cautions"][0]
    assert solve({"rate": "60 mL/h", "drop_factor": "20"})["cautions"] == []
    assert "cannot be counted" in solve({"rate": "250 mL/h", "drop_factor": "60"})["cautions"][0]


def test_a_tie_goes_up():
    """10 mL/h × 15 ÷ 60 = 2.5: half up 3, where ties to even would give 2."""
    given = {"rate": "10 mL/h", "drop_factor": "15"}
    assert solve(given, rounding={"places": 0})["value"] == "3"
    assert solve(given, rounding={"places": 0, "mode": "half_even"})["value"] == "2"
