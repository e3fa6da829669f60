"""Answer keys: accepted ranges, tolerances and other roundings, and verdicts by a key frozen as JSON."""

import json
from fractions import Fraction

import pytest

import calculators

WEIGHT_BASED = {"dose": "5 mcg/kg/min", "weight": "154 lb", "drug_amount": "800 mg", "volume": "500 mL"}


def key(tolerance=None, also=(), places=1, given=None, find="rate"):
    return calculators.answer_key(
        {
            "id": "c", "label": "Check", "find": find, "given": given or WEIGHT_BASED,
            "rounding": {"places": places}, "also_accepted": list(also), "tolerance": tolerance,
        }
    )  # fmt: skip


def ranges(found):
    return [(a["low"], a["high"], a["verdict"]) for a in found["accepted"]]


def code(found, number, unit="mL/h"):
    return calculators.verify(found, number, unit)["code"]


def test_a_tolerance_is_taken_from_the_rounded_answer():
    found = key({"plus": "0.5", "minus": "0.2"})
    assert ranges(found)[1] == ("12.9", "13.6", "right")
    assert [code(found, n) for n in ("12.8", "12.9", "13.6", "13.7")] == ["wrong", "right", "right", "wrong"]
    assert ranges(key({"plus": "10 %"}))[1] == ("13.1", "14.41", "right")


def test_an_accepted_range():
    found = key({"low": "465", "high": "470"}, places=0, given={"volume": "500 mL", "reserve": "30 mL"}, find="vtbi")
    assert [code(found, n, "mL") for n in ("464", "465", "470", "471")] == ["wrong", "right", "right", "wrong"]


def test_one_unit_in_the_last_place_only_where_it_is_at_most_5_percent():
    assert ranges(key({"last_place": 1}))[1] == ("13", "13.2", "right")
    small = key({"last_place": 1}, places=0, given={"volume": "50 mL", "time": "10 h"})
    assert ranges(small)[1] == ("5", "5", "right")


def test_another_listed_rounding_counts_and_says_which():
    found = key(also=[{"places": 0}, {"places": 1, "mode": "down"}])
    assert ranges(found) == [("13.1", "13.1", "right"), ("13", "13", "right_other_rounding")]
    assert calculators.verify(found, "13", "mL/h")["why"] == "to a whole number, half up"


@pytest.mark.parametrize(
    ("given", "also", "said"),
    [
        ({"volume": "250 mL", "time": "8 h"}, [{"places": 1, "mode": "half_even"}], "31.2"),
        ({"volume": "250 mL", "time": "8 h"}, [{"places": 1, "mode": "down"}], "31.2"),
        ({"volume": "250 mL", "time": "8 h"}, [{"step": "0.5"}], "31.5"),
    ],
)
def test_a_right_answer_under_a_listed_rounding_is_never_a_slip(given, also, said):
    found = key(also=also, given=given)
    verdict = calculators.verify(found, said, "mL/h")
    assert (verdict["code"], verdict["slips"]) == ("right_other_rounding", [])


def test_a_rounding_that_is_not_listed_is_wrong_and_explained():
    verdict = calculators.verify(key(given={"volume": "250 mL", "time": "8 h"}), "31.2", "mL/h")
    assert (verdict["code"], verdict["slips"][0]["code"]) == ("wrong", "rounded_otherwise")


def test_no_slip_of_the_key_is_an_accepted_answer():
    found = key({"plus": "20", "minus": "5"})
    for slip in found["slips"]:
        assert not any(
            Fraction(a["low"]) <= Fraction(slip["value"]) <= Fraction(a["high"]) for a in found["accepted"]
        ), slip
    assert "pounds_as_kilograms" not in {slip["code"] for slip in found["slips"]}


def test_a_key_frozen_as_json_gives_the_same_verdicts():
    found = key(also=[{"places": 0}])
    thawed = json.loads(json.dumps(found))
    for number in ("13.1", "13", "28.9", "131", "7", ".5", "x"):
        for unit in ("mL/h", "mL/min", None, ""):
            assert calculators.verify(thawed, number, unit) == calculators.verify(found, number, unit)


def test_everything_in_a_key_is_text():
    def texts(value):
        if isinstance(value, dict):
            return all(map(texts, value.values()))
        if isinstance(value, list):
            return all(map(texts, value))
        return isinstance(value, str)

    assert texts(key({"plus": "0.5"}))


def test_the_unit_choices_hold_the_right_one_once():
    found = key(find="concentration", given={"drug_amount": "800 mg", "volume": "500 mL", "to": "mcg/mL"})
    assert found["units"][0] == "mcg/mL"
    assert len(set(found["units"])) == len(found["units"])
    assert found["find"] == "concentration"


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"find": "mystery"}, "find"),
        ({"given": None}, "given"),
        ({"rounding": None}, "rounding"),
        ({"also_accepted": "no"}, "also_accepted"),
        ({"also_accepted": [{"places": 99}]}, "also_accepted"),
        ({"tolerance": "wide"}, "tolerance"),
        ({"tolerance": {"low": "5"}}, "tolerance"),
        ({"tolerance": {"low": "9", "high": "5"}}, "tolerance"),
        ({"tolerance": {"plus": "lots"}}, "tolerance"),
        ({"tolerance": {"around": "5"}}, "tolerance"),
    ],
)
def test_refused(change, field):
    check = {"id": "c", "label": "C", "find": "rate", "given": WEIGHT_BASED, "rounding": {"places": 1}, **change}
    with pytest.raises(calculators.CalculationError) as refused:
        calculators.answer_key(check)
    assert refused.value.field == field


@pytest.mark.parametrize("number", ["13,1", "", "thirteen", "1e1", "13.1 mL/h", "9" * 200])
def test_verify_never_raises(number):
    assert calculators.verify(key(), number, "mL/h")["code"] == "unreadable"


def test_an_answer_can_fit_several_slips_best_first():
    verdict = calculators.verify(key(), "131", "mL/h")
    assert verdict["slips"][0]["code"] == "tenfold_up"
    assert [Fraction(s["fit"]) for s in verdict["slips"]] == sorted(
        (Fraction(s["fit"]) for s in verdict["slips"]), reverse=True
    )
