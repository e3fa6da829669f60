"""Drawn numbers: no answer shared by two slips, none beyond a limit, the same seed the same case."""

import random
from fractions import Fraction

import pytest

import calculators

CHECKS = [
    {"id": "rate", "label": "Rate", "find": "rate", "rounding": {"places": 1}},
    {"id": "vtbi", "label": "VTBI", "find": "vtbi", "rounding": {"places": 0}},
]
FIELDS = {
    "dose": ["5 mcg/kg/min", "7.5 mcg/kg/min", "12 mcg/kg/min"],
    "weight": ["60 kg", "71 kg", "83 kg", "154 lb"],
    "drug_amount": ["400 mg", "800 mg"],
    "volume": "500 mL",
    "reserve": "30 mL",
    "max_rate": "60 mL/h",
}


@pytest.mark.parametrize("kind", list(calculators.PROBLEMS))
def test_everyday_problems_keep_their_slips_apart_and_stay_within_what_a_pump_takes(kind):
    for seed in range(40):
        drawn = calculators.problem(kind, random.Random(seed))
        assert drawn.clashes == ()
        assert drawn.troubles == ()
        for key in drawn.keys:
            shown = [s["value"] for s in key["slips"] if s["code"] not in ("digits_transposed", "rounded_otherwise")]
            stated = [value for value in shown if Fraction(value)]
            assert len(set(stated)) == len(stated)
            assert Fraction(key["expected"]) > 0


def test_a_template_is_drawn_without_clash_or_excess():
    seen = set()
    for seed in range(30):
        drawn = calculators.draw(FIELDS, CHECKS, random.Random(seed))
        assert drawn.clashes == ()
        assert not any("limit exceeded" in caution for key in drawn.keys for caution in key["cautions"])
        assert drawn.given["volume"] == "500 mL"
        seen.add(tuple(drawn.given.values()))
    assert len(seen) > 3


def test_the_same_seed_draws_the_same_case():
    one, two = (calculators.draw(FIELDS, CHECKS, random.Random(7)) for _ in range(2))
    assert one == two


def test_what_cannot_be_kept_apart_is_said():
    """60 kg: the weight left out and the 60 of the time base give one number."""
    fields = {"dose": "5 mcg/kg/min", "weight": "60 kg", "drug_amount": "80 mg", "volume": "500 mL"}
    drawn = calculators.draw(fields, CHECKS[:1], random.Random(1))
    assert ("weight_left_out", "time_base_left_out") in {tuple(sorted(pair, reverse=True)) for pair in drawn.clashes}


def test_numbers_beyond_a_limit_are_avoided_where_others_are_possible():
    fields = {"volume": ["100 mL", "1,000 mL"], "time": "50 min", "max_rate": "200 mL/h"}
    for seed in range(10):
        assert calculators.draw(fields, CHECKS[:1], random.Random(seed)).given["volume"] == "100 mL"
    only = calculators.draw({**fields, "volume": "1,000 mL"}, CHECKS[:1], random.Random(1))
    assert any("limit exceeded" in trouble for trouble in only.troubles)


def test_many_choices_are_sampled_not_exhausted():
    fields = {"volume": [f"{n} mL" for n in range(100, 400)], "time": [f"{n} min" for n in range(20, 90)]}
    drawn = calculators.draw(fields, CHECKS[:1], random.Random(3))
    assert drawn.clashes == ()


def test_refused():
    with pytest.raises(calculators.CalculationError):
        calculators.draw({"volume": [], "time": "8 h"}, CHECKS[:1], random.Random(1))
    with pytest.raises(calculators.CalculationError):
        calculators.problem("juggling", random.Random(1))
    with pytest.raises(calculators.CalculationError):
        calculators.draw({"volume": "500 mL"}, CHECKS[:1], random.Random(1))
