"""Volumes and durations: VTBI by every reserve rule, the drug's own volume in all four ways, doses, durations.

Rules of reserve and of the drug's own volume: common practice and product labels, as settings.
"""

from fractions import Fraction

import pytest

import calculators


def solve(find, given, **more):
    return calculators.solve({"find": find, "given": given, **more})


@pytest.mark.parametrize(
    ("given", "text"),
    [
        ({"volume": "500 mL"}, "500 mL"),
        ({"volume": "500 mL", "reserve": "20 mL"}, "480 mL"),
        ({"volume": "500 mL", "reserve": "0 mL"}, "500 mL"),
        ({"volume": "1 L", "reserve": "5 %"}, "950 mL"),
        ({"volume": "1 L", "reserve": "5%"}, "950 mL"),
        ({"volume": "500 mL", "reserve": "30 min", "rate": "62.5 mL/h"}, "468.75 mL"),
        ({"volume": "500 mL", "reserve": "1 h", "rate": "62.5 mL/h"}, "437.5 mL"),
        ({"volume": "500 mL", "reserve": "30 min", "dose": "5 mg/h", "drug_amount": "50 mg"}, "475 mL"),
        ({"volume": "500 mL", "reserve": "30 min", "time": "8 h"}, "468.75 mL"),
        ({"rate": "125 mL/h", "time": "4 h"}, "500 mL"),
        ({"volume": "520 mL", "reserve": "20 mL", "rate": "125 mL/h", "time": "4 h"}, "500 mL"),
        ({"rate": "125 mL/h", "time": "90 min"}, "187.5 mL"),
        ({"volume": "500 mL", "to": "L"}, "0.5 L"),
        ({"diluent_volume": "240 mL", "additive_volume": "10 mL", "additive_mode": "added"}, "250 mL"),
        ({"diluent_volume": "250 mL", "additive_volume": "10 mL", "additive_mode": "withdrawn_first"}, "250 mL"),
        ({"diluent_volume": "250 mL", "additive_volume": "10 mL", "additive_mode": "nominal"}, "250 mL"),
        ({"diluent_volume": "250 mL", "additive_mode": "nominal"}, "250 mL"),
        ({"diluent_volume": "100 mL", "additive_mode": "powder"}, "100 mL"),
        ({"diluent_volume": "100 mL"}, "100 mL"),
    ],
)
def test_volume_to_be_infused(given, text):
    assert solve("vtbi", given)["text"] == text


@pytest.mark.parametrize(
    ("given", "code", "field"),
    [
        ({}, "missing", "volume"),
        ({"volume": "500 mL", "reserve": "500 mL"}, "out_of_range", "reserve"),
        ({"volume": "500 mL", "reserve": "100 %"}, "out_of_range", "reserve"),
        ({"volume": "500 mL", "reserve": "-5 %"}, "out_of_range", "reserve"),
        ({"volume": "500 mL", "reserve": "-5 mL"}, "out_of_range", "reserve"),
        ({"volume": "500 mL", "reserve": "20"}, "unknown_unit", "reserve"),
        ({"volume": "500 mL", "reserve": "20 mg"}, "wrong_dimension", "reserve"),
        ({"volume": "500 mL", "reserve": "30 min"}, "missing", "rate"),
        ({"volume": "500 mL", "to": "mg"}, "wrong_dimension", "to"),
        ({"volume": "500 mL", "rate": "125 mL/h", "time": "3 h"}, "conflict", "time"),
        ({"diluent_volume": "250 mL", "additive_volume": "10 mL"}, "missing", "additive_mode"),
        ({"diluent_volume": "250 mL", "additive_mode": "added"}, "missing", "additive_volume"),
        ({"diluent_volume": "250 mL", "additive_mode": "withdrawn_first"}, "missing", "additive_volume"),
        ({"diluent_volume": "250 mL", "additive_volume": "10 mL", "additive_mode": "poured"}, "unknown_value",
         "additive_mode"),
        ({"diluent_volume": "250 mL", "additive_volume": "10 mL", "additive_mode": "powder"}, "conflict",
         "additive_volume"),
        ({"diluent_volume": "5 mL", "additive_volume": "10 mL", "additive_mode": "withdrawn_first"}, "out_of_range",
         "additive_volume"),
        ({"volume": "240 mL", "diluent_volume": "240 mL", "additive_volume": "10 mL", "additive_mode": "added"},
         "conflict", "volume"),
    ],
)  # fmt: skip
def test_volumes_that_are_refused(given, code, field):
    error = solve("vtbi", given)["error"]
    assert (error["code"], error["field"]) == (code, field)


@pytest.mark.parametrize(
    ("mode", "exact"), [("added", "25/11"), ("withdrawn_first", "5/2"), ("nominal", "5/2"), ("powder", None)]
)
def test_the_drugs_own_volume_in_a_concentration(mode, exact):
    given = {"drug_amount": "250 mg", "diluent_volume": "100 mL", "additive_volume": "10 mL", "additive_mode": mode}
    if exact is None:
        del given["additive_volume"]
    assert solve("concentration", given)["exact"] == (exact or "5/2")


def test_a_concentration_is_told_in_the_drugs_written_unit():
    assert solve("concentration", {"drug_amount": "25,000 units", "volume": "250 mL"})["text"] == "100 units/mL"
    assert solve("concentration", {"concentration": "900 mg/500 mL"})["text"] == "1.8 mg/mL"
    assert solve("concentration", {"concentration": "1 g per 100 mL", "to": "mg/mL"})["text"] == "10 mg/mL"
    assert solve("concentration", {"drug_amount": "1 g", "volume": "1 L", "to": "mcg/mL"})["text"] == "1,000 mcg/mL"
    assert solve("concentration", {"drug_amount": "1 g", "volume": "1 L", "to": "mg"})["error"]["field"] == "to"
    assert solve("concentration", {"volume": "1 L"})["error"]["field"] == "concentration"


@pytest.mark.parametrize(
    ("given", "exact", "unit"),
    [
        ({"volume": "500 mL", "rate": "75 mL/h"}, "20/3", "h"),
        ({"volume": "500 mL", "rate": "75 mL/h", "to": "min"}, "400", "min"),
        ({"volume": "500 mL", "rate": "75 mL/h", "reserve": "50 mL"}, "6", "h"),
        ({"volume": "500 mL", "dose": "50 mg/h", "drug_amount": "1 g"}, "20", "h"),
        ({"volume": "1 L", "rate": "25 gtt/min", "drop_factor": "15"}, "10", "h"),
    ],
)
def test_how_long_a_bag_runs(given, exact, unit):
    answer = solve("duration", given)
    assert (answer["exact"], answer["unit"]) == (exact, unit)


@pytest.mark.parametrize(
    ("given", "text"),
    [
        ({"dose": "7,500 units", "concentration": "10,000 units/mL"}, "0.75 mL"),
        ({"dose": "15 mg/kg", "weight": "12 kg", "concentration": "250 mg/5 mL"}, "3.6 mL"),
        ({"dose": "500 mg", "drug_amount": "1 g", "diluent_volume": "20 mL", "additive_mode": "powder"}, "10 mL"),
        ({"dose": "5 mg/h", "time": "90 min", "concentration": "1 mg/mL"}, "7.5 mL"),
        ({"dose": "10 mg", "concentration": "2 mg/mL", "to": "tsp"}, "1 tsp"),
    ],
)
def test_volume_of_a_dose(given, text):
    assert solve("dose_volume", given)["text"] == text


@pytest.mark.parametrize(
    ("given", "code", "field"),
    [
        ({"concentration": "1 mg/mL"}, "missing", "dose"),
        ({"dose": "5 mg"}, "missing", "concentration"),
        ({"dose": "5 mg/h", "concentration": "1 mg/mL"}, "missing", "time"),
        ({"dose": "5 mg", "concentration": "1 mg/mL", "to": "mg"}, "wrong_dimension", "to"),
    ],
)
def test_dose_volumes_that_are_refused(given, code, field):
    error = solve("dose_volume", given)["error"]
    assert (error["code"], error["field"]) == (code, field)


def test_vtbi_of_a_reserve_in_percent_shows_both_lines():
    assert solve("vtbi", {"volume": "250 mL", "reserve": "4 %"})["working"] == [
        "4 % of 250 mL = 10 mL",
        "250 mL − 10 mL = 240 mL",
    ]
    assert Fraction(solve("vtbi", {"volume": "250 mL", "reserve": "4 %"})["exact"]) == 240
