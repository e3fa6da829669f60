"""What people write: strict, exact, with notation faults beside the value, never a guess and never a traceback.

Faults of notation: Joint Commission "Do Not Use" list; ISMP list of error-prone abbreviations.
"""

import os
from fractions import Fraction

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

import calculators
from calculators.errors import CalculationError
from calculators.reading import read_number, read_quantity, read_unit, split_said

CODES = CalculationError.CODES
EXAMPLES = int(os.environ.get("FUZZ_EXAMPLES", "500"))  # a long run sets more


def read(text):
    return read_quantity(text, "volume", "500 mL")


@pytest.mark.parametrize(
    ("text", "number", "unit"),
    [
        ("500 mL", Fraction(500), "mL"),
        ("500mL", Fraction(500), "mL"),
        ("1,000 ml", Fraction(1000), "mL"),
        ("12,345,678.5 mg", Fraction("12345678.5"), "mg"),
        ("0.5 mcg/kg/min", Fraction(1, 2), "mcg/kg/min"),
        ("0.5 mcg/min/kg", Fraction(1, 2), "mcg/kg/min"),
        ("2 mL/hr", Fraction(2), "mL/h"),
        ("2 mL per hour", Fraction(2), "mL/h"),
        ("18 units/kg/h", Fraction(18), "units/kg/h"),
        ("900 mg/500 mL", Fraction(9, 5), "mg/mL"),
        ("200 mEq/24 h", Fraction(25, 3), "mEq/h"),
        ("1 g / 1,000 mL", Fraction(1, 1000), "g/mL"),
        ("31 gtts/min", Fraction(31), "gtt/min"),
        ("2 million units", Fraction(2), "million units"),
        ("5\u00a0mg", Fraction(5), "mg"),
    ],
)
def test_plain_quantities_are_read_exactly(text, number, unit):
    found = read(text)
    assert (found.number, found.unit.text, found.faults) == (number, unit, ())


@pytest.mark.parametrize(
    ("text", "number", "unit", "fault"),
    [
        (".5 mg", Fraction(1, 2), "mg", "naked decimal: write 0.5"),
        ("5.0 mg", Fraction(5), "mg", "trailing zero: write 5,"),
        ("0.50 mg", Fraction(1, 2), "mg", "trailing zero: write 0.5,"),
        ("10 U", Fraction(10), "units", "U: write units"),
        ("10 u/h", Fraction(10), "units/h", "u: write units"),
        ("10 IU", Fraction(10), "units", "IU: write units"),
        ("3 cc", Fraction(3), "mL", "cc: write mL"),
        ("7 µg", Fraction(7), "mcg", "µg: write mcg"),
        ("7 μg/min", Fraction(7), "mcg/min", "µg: write mcg"),
        ("7 ug", Fraction(7), "mcg", "ug: write mcg"),
        ("7 mg.", Fraction(7), "mg", "full stop"),
        ("007 mg", Fraction(7), "mg", "leading zeros"),
    ],
)
def test_faults_of_notation_stand_beside_the_value(text, number, unit, fault):
    found = read(text)
    assert (found.number, found.unit.text) == (number, unit)
    assert found.faults[0].startswith(fault)


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("1,4 mL", "not_a_number"),  # pint reads 14
        ("5 5 mL", "not_a_number"),  # pint reads 25
        ("2**3 mL", "not_a_number"),  # pint reads 8
        ("1e400 mL", "not_a_number"),
        ("1e3 mL", "not_a_number"),
        ("1_000 mL", "not_a_number"),
        ("1,00 mL", "not_a_number"),
        ("1000,000 mL", "not_a_number"),
        ("1.2.3 mL", "not_a_number"),
        ("5. mL", "not_a_number"),
        ("+5 mL", "not_a_number"),
        ("٣ mL", "not_a_number"),
        ("½ mL", "not_a_number"),
        ("mL", "not_a_number"),
        ("", "not_a_number"),
        ("nan mL", "not_a_number"),
        ("5", "unknown_unit"),
        ("5 MU", "unknown_unit"),  # milliunits or million units
        ("5 furlongs", "unknown_unit"),
        ("1/2 mL", "unknown_unit"),
        ("5 mL/", "unknown_unit"),
        ("5 mg/0 mL", "out_of_range"),
        ("5 mg/mg", "wrong_dimension"),
        ("9" * 16 + " mL", "out_of_range"),
        ("0." + "1" * 13 + " mL", "out_of_range"),
        ("5 " + "m" * 100, "out_of_range"),
    ],
)
def test_what_could_be_meant_two_ways_is_refused_with_what_was_read(text, code):
    with pytest.raises(CalculationError) as refused:
        read(text)
    assert (refused.value.code, refused.value.field) == (code, "volume")
    assert "read" in refused.value.message


def test_a_comma_earns_a_question():
    with pytest.raises(CalculationError, match=r"1\.4 or 1,400"):
        read("1,4 mL")


def test_numbers_alone_and_units_alone():
    assert read_number("13.10", "said").decimals == 2
    assert read_unit("mg/500 mL", "to")[1] == 500
    with pytest.raises(CalculationError, match="a number alone"):
        read_number("13 mL", "said")


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("12.5 mL/hr", ("12.5", "mL/hr", 1)),
        ("13", ("13", None, 0)),
        ("13 flagons", ("13", "flagons", 0)),
        ("1,4 mL", ("1,4 mL", None, 0)),
        ("5 5 mL", ("5 5 mL", None, 0)),
        ("1e9", ("1e9", None, 0)),
    ],
)
def test_what_is_said_is_split_before_it_is_judged(text, parts):
    assert split_said(text) == parts


alphabet = st.text(st.sampled_from("0123456789.,/ -+eEmLcgkhrunitsµUxX%*_\u00a0\x00½٣"), max_size=24)
anything = st.one_of(st.text(max_size=90), alphabet)


@settings(max_examples=EXAMPLES, deadline=None)
@given(anything)
@example("1e400 mL")
@example("9" * 5000)
@example("/" * 60)
def test_any_text_is_read_or_refused(text):
    try:
        found = read(text)
    except CalculationError as error:
        refusal = error.as_dict()
    else:
        assert type(found.number) is Fraction
        again = read(found.plain) if "…" not in found.plain else found
        assert (again.number, again.unit.text) == (found.number, found.unit.text)
        return
    assert refusal["code"] in CODES
    assert refusal["message"]


json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | anything,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(anything, inner, max_size=3),
    max_leaves=6,
)
FIELDS = """
    dose weight drug_amount diluent_volume additive_volume additive_mode concentration volume time rate drop_factor
    reserve value to start interval weight_factor weight_places zone max_rate max_per_day min_time item valence
"""
TEXTS = """
    5 mcg/kg/min|70 kg|154 lb|800 mg|500 mL|20 mL|added|nominal|powder|2 mg/mL|8 h|30 min|125 mL/h|20|5 %|0 mL|exact|
    2026-11-01T01:30|America/Chicago|96 h|10 mEq/h|mg/h|mL|gtt/min|kg|units/h|25,000 units|1 g|s/gtt
"""
FINDS = ["rate", "dose_rate", "concentration", "vtbi", "duration", "drop_rate", "dose_volume", "convert", "due", "x"]
fields = st.sampled_from(FIELDS.split())
plausible = st.sampled_from([text.strip() for text in TEXTS.split("|")])
requests = st.fixed_dictionaries(
    {"find": st.sampled_from(FINDS)},
    optional={
        "id": json_values,
        "given": st.dictionaries(fields, plausible | json_values, max_size=9) | json_values,
        "rounding": st.fixed_dictionaries({}, optional={"places": st.integers(-1, 4) | json_values}) | json_values,
        "said": plausible | json_values,
    },
)


@settings(max_examples=EXAMPLES, deadline=None)
@given(requests | json_values)
def test_any_request_gets_an_answer_or_an_error_and_no_float(request):
    answer = calculators.solve(request)
    if "error" in answer:
        assert answer["error"]["code"] in CODES
        assert answer["error"]["message"]
    else:
        answer.pop("id")
        assert no_float(answer)


def no_float(value):
    if isinstance(value, dict):
        return all(map(no_float, value.values()))
    if isinstance(value, list):
        return all(map(no_float, value))
    return isinstance(value, str)


@pytest.mark.parametrize("where", ["volume", "drop_factor", "weight_places"])
def test_a_float_is_turned_away_at_the_door(where):
    given = {"volume": "500 mL", "time": "8 h", "drop_factor": "20", "weight": "70 kg", "dose": "5 mcg/kg/min"}
    answer = calculators.solve({"find": "drop_rate", "given": {**given, where: 1.5, "drug_amount": "8 mg"}})
    assert answer["error"]["code"] == "not_a_number"


def test_a_float_in_rounding_or_tolerance_is_turned_away():
    given = {"volume": "500 mL", "time": "8 h"}
    answer = calculators.solve({"find": "rate", "given": given, "rounding": {"step": 0.5}})
    assert answer["error"]["code"] == "not_a_number"
    check = {"find": "rate", "given": given, "rounding": {"places": 0}, "tolerance": {"plus": 0.5}}
    with pytest.raises(calculators.CalculationError):
        calculators.answer_key(check)
