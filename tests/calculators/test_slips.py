"""What a wrong answer means: each slip's value against plain fractions, and a benchmark over drawn cases.

The ratios of the table are those of plain arithmetic (student ÷ exact). Which slips people make: common practice, and
Wennberg-Capellades 2022, BMC Nursing 21:309.
"""

from fractions import Fraction

import pytest

import calculators
from calculators.benchmark import measure, printed
from calculators.rounding import Policy
from calculators.writing import decimal


def key_of(find, given, places=1, **more):
    check = {"id": "c", "label": "C", "find": find, "given": given, "rounding": {"places": places}, **more}
    return calculators.answer_key(check)


def values(key):
    return {slip["code"]: Fraction(slip["exact"]) for slip in key["slips"]}


BAG = {"drug_amount": "800 mg", "volume": "500 mL"}


@pytest.mark.parametrize(
    ("find", "given", "code", "ratio"),
    [
        ("rate", {"dose": "5 mcg/kg/min", "weight": "154 lb", **BAG}, "pounds_as_kilograms", Fraction(22, 10)),
        ("rate", {"dose": "5 mcg/kg/min", "weight": "154 lb", **BAG}, "pounds_multiplied", Fraction(484, 100)),
        ("rate", {"dose": "5 mcg/kg/min", "weight": "154 lb", **BAG}, "pounds_divided_twice", Fraction(10, 22)),
        ("rate", {"dose": "5 mcg/kg/min", "weight": "83 kg", **BAG}, "kilograms_as_pounds", Fraction(10, 22)),
        ("rate", {"dose": "5 mcg/kg/min", "weight": "83 kg", **BAG}, "weight_left_out", Fraction(1, 83)),
        ("rate", {"dose": "5 mcg/kg/min", "weight": "83 kg", **BAG}, "time_base_left_out", Fraction(1, 60)),
        ("rate", {"dose": "5 mcg/kg/min", "weight": "83 kg", **BAG}, "time_base_twice", Fraction(60)),
        ("rate", {"dose": "5 mcg/kg/min", "weight": "83 kg", **BAG}, "time_base_wrong_way", Fraction(1, 3600)),
        ("rate", {"dose": "5 mcg/kg/min", "weight": "83 kg", **BAG}, "prefix_left_out", Fraction(1000)),
        ("rate", {"dose": "5 mcg/kg/min", "weight": "83 kg", **BAG}, "prefix_smaller", Fraction(1, 1000)),
        ("rate", {"dose": "5 mcg/kg/min", "weight": "83 kg", **BAG}, "tenfold_up", Fraction(10)),
        ("rate", {"dose": "5 mcg/kg/min", "weight": "83 kg", **BAG}, "tenfold_down", Fraction(1, 10)),
        ("rate", {"dose": "5 mcg/kg/min", "weight": "83 kg", **BAG}, "concentration_inverted", Fraction(16, 10) ** 2),
        ("rate", {"dose": "12 units/h", "concentration": "2 units/mL"}, "time_base_added", Fraction(60)),
        ("rate", {"dose": "12 units/h", "concentration": "2 units/mL"}, "time_base_divided", Fraction(1, 60)),
        ("rate", {"volume": "100 mL", "time": "40 min"}, "time_base_left_out", Fraction(1, 60)),
        ("drop_rate", {"rate": "125 mL/h", "drop_factor": "20"}, "drop_factor_left_out", Fraction(1, 20)),
        ("drop_rate", {"rate": "125 mL/h", "drop_factor": "20"}, "ml_per_hour_for_drops", Fraction(60, 20)),
        ("drop_rate", {"rate": "125 mL/h", "drop_factor": "20"}, "time_base_left_out", Fraction(60)),
        ("vtbi", {"volume": "500 mL", "reserve": "30 mL"}, "whole_bag", Fraction(500, 470)),
        ("vtbi", {"volume": "500 mL", "reserve": "30 mL"}, "reserve_twice", Fraction(440, 470)),
        ("vtbi", {"volume": "500 mL", "reserve": "30 mL", "rate": "62.5 mL/h"}, "rate_for_vtbi", Fraction(125, 940)),
        ("duration", {"volume": "500 mL", "rate": "75 mL/h"}, "upside_down", Fraction(75 * 75, 500 * 500)),
        (
            "dose_rate",
            {"rate": "9 mL/h", "weight": "70 kg", "to": "mcg/kg/min", **BAG},
            "weight_left_out",
            Fraction(70),
        ),
    ],
)
def test_each_slip_gives_the_value_of_plain_arithmetic(find, given, code, ratio):
    key = key_of(find, given)
    assert values(key)[code] == Fraction(key["exact"]) * ratio


def test_wrong_drop_factors_are_each_told_apart():
    key = key_of("drop_rate", {"rate": "125 mL/h", "drop_factor": "20"}, places=0)
    found = {s["text"][-10:-1]: Fraction(s["exact"]) for s in key["slips"] if s["code"] == "wrong_drop_factor"}
    assert found == {"10 gtt/mL": Fraction(125, 6), "15 gtt/mL": Fraction(125, 4)}


def test_the_drugs_own_volume_ignored():
    given = {
        "dose": "5 mg/h", "drug_amount": "25 mg",
        "diluent_volume": "240 mL", "additive_volume": "10 mL", "additive_mode": "added",
    }  # fmt: skip
    key = key_of("rate", given)
    assert (key["exact"], values(key)["additive_ignored"]) == ("50", Fraction(48))
    nominal = key_of("rate", {**given, "additive_mode": "nominal"})
    assert (nominal["exact"], values(nominal)["additive_counted"]) == ("48", Fraction(50))


def test_a_neighbouring_row_of_the_titration_table():
    given = {"dose": "5 mcg/kg/min", "weight": "70 kg", "titration_step": "1 mcg/kg/min", **BAG}
    found = values(key_of("rate", given))
    assert (found["row_above"], found["row_below"]) == (Fraction(63, 4), Fraction(21, 2))


def test_two_digits_swapped_and_another_rounding():
    key = key_of("rate", {"dose": "5 mcg/kg/min", "weight": "154 lb", **BAG})
    shown = {(s["code"], s["value"]) for s in key["slips"]}
    assert {("digits_transposed", "31.1"), ("digits_transposed", "11.3"), ("rounded_otherwise", "13.13")} <= shown


def test_intermediate_rounding():
    key = key_of("rate", {"dose": "5 mcg/kg/min", "weight": "160 lb", **BAG})
    assert values(key)["weight_rounded_first"] == Fraction(5 * 73 * 60, 1600)
    drops = key_of("drop_rate", {"volume": "500 mL", "time": "6 h", "drop_factor": "60"}, places=1)
    assert values(drops)["rate_rounded_first"] == Fraction(83)


def test_where_two_slips_coincide_both_are_named():
    key = key_of("rate", {"dose": "5 mcg/kg/min", "weight": "60 kg", "drug_amount": "400 mg", "volume": "500 mL"}, 2)
    verdict = calculators.verify(key, "0.38", "mL/h")
    tied = {s["code"] for s in verdict["slips"] if s["fit"] == "1"}
    assert {"weight_left_out", "time_base_left_out"} <= tied
    assert "time_base_left_out" in verdict["slips"][0]["either"] + [verdict["slips"][0]["code"]]
    assert ("weight_left_out", "time_base_left_out") in [
        tuple(sorted(p, reverse=True)) for p in calculators.clashes(key)
    ]


def test_a_sum_of_two_slips():
    key = key_of("rate", {"dose": "5 mcg/kg/min", "weight": "154 lb", **BAG})
    both = Policy(Fraction(1, 10)).apply(Fraction(105, 8) * Fraction(22, 10) * 10)
    verdict = calculators.verify(key, decimal(both), "mL/h")
    assert verdict["slips"][0]["code"] == "pounds_as_kilograms+tenfold_up"


def test_a_number_near_nothing_known_has_no_slip():
    key = key_of("rate", {"dose": "5 mcg/kg/min", "weight": "154 lb", **BAG})
    assert calculators.verify(key, "17.7", "mL/h")["slips"] == []


def test_benchmark_the_true_slip_is_found():
    """2,000 seeded cases × each slip × a usual rounding with at least two figures.

    The slip is always among the first three (or tied first), first or tied first in 95 % or more; and a right answer
    is never called a slip.
    """
    found = measure(2000)
    assert found.asked > 10_000
    assert found.among == found.asked
    assert found.first / found.asked >= 0.95
    assert found.right_called_slip == 0
    assert "first or tied first" in printed(found)
