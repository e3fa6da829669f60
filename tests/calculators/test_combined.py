"""Problems of two parts, worked by hand beside each check (common practice)."""

from fractions import Fraction

import calculators

OLD = {"drug_amount": "400 mg", "volume": "250 mL"}
NEW = {"drug_amount": "800 mg", "volume": "250 mL"}


def test_a_new_bag_at_the_same_dose():
    answer = calculators.new_bag({"rate": "13 mL/h", "old": OLD, "new": NEW, "rounding": {"places": 1}})
    assert (answer["exact"], answer["text"]) == ("13/2", "6.5 mL/h")
    assert answer["working"][-3:] == [
        "13 mL/h × 1.6 mg/mL = 20.8 mg/h",
        "÷ 3.2 mg/mL = 6.5 mL/h",
        "to a tenth = 6.5 mL/h",
    ]
    mixed = calculators.new_bag({"rate": "1 mL/min", "old": OLD, "new": {"concentration": "800 mcg/mL"}})
    assert mixed["text"] == "120 mL/h"


def test_a_new_bag_of_another_kind_is_refused():
    answer = calculators.new_bag({"rate": "13 mL/h", "old": OLD, "new": {"concentration": "100 units/mL"}})
    assert answer["error"]["code"] == "wrong_dimension"
    assert calculators.new_bag({"old": OLD, "new": NEW})["error"]["field"] == "rate"
    assert calculators.new_bag({"rate": "13 mL/h", "old": OLD})["error"]["field"] == "new"


def test_a_bolus_and_then_an_infusion():
    """80 units/kg, then 18 units/kg/h, 80 kg, 100 units/mL: 64 mL and 14.4 mL/h; in 6 h 64 + 86.4 mL."""
    patient = {"weight": "80 kg", "concentration": "100 units/mL"}
    answer = calculators.bolus_and_continuous(
        {
            "bolus": {"dose": "80 units/kg", **patient},
            "continuous": {"dose": "18 units/kg/h", **patient},
            "time": "6 h",
            "rounding": {"places": 1},
        }
    )
    assert (answer["bolus"]["text"], answer["continuous"]["text"]) == ("64 mL", "14.4 mL/h")
    assert Fraction(answer["total"]["exact"]) == Fraction("150.4")
    del patient["weight"]
    refused = calculators.bolus_and_continuous({"bolus": {"dose": "80 units/kg", **patient}, "continuous": {}})
    assert refused["error"]["field"] == "bolus.weight"


def test_a_piggyback_delays_the_end_of_the_primary_bag():
    """100 mL in 30 min at 200 mL/h, then 1,000 mL at 125 mL/h: half an hour and 8 h."""
    answer = calculators.piggyback(
        {
            "secondary": {"volume": "100 mL", "time": "30 min"},
            "primary": {"volume": "1 L", "rate": "125 mL/h", "start": "2026-06-01T20:00"},
            "rounding": {"places": 0},
        }
    )
    assert answer["secondary"]["text"] == "200 mL/h"
    assert (answer["secondary_time"], answer["primary_time"], answer["whole_time"]) == ("0.5 h", "8 h", "8.5 h")
    assert answer["ends"] == "2026-06-02T04:30:00"
    assert calculators.piggyback({"secondary": {"volume": "100 mL"}})["error"]["field"] == "secondary.time"
    assert calculators.piggyback([])["error"]["field"] == "given"
