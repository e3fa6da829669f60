"""The closed list of units: sizes held against UCUM's own table, and conversions that must not happen.

Sizes: ucum-essence.xml 2.2 (2024-06-17) as shipped with ucumvert 0.3.2. Household measures are those of nursing
courses (common practice: tsp 5 mL, tbsp 15 mL, oz 30 mL), not UCUM's United States customary sizes.
"""

from fractions import Fraction

import pytest
from ucumvert import PintUcumRegistry

import calculators
from calculators.errors import CalculationError
from calculators.units import ATOMS, REGISTRY, atom_named, factor, named, ratio


@pytest.fixture(scope="module")
def ucum():
    return PintUcumRegistry()


@pytest.mark.parametrize(
    ("one", "other", "ucum_one", "ucum_other"),
    [
        ("ng", "mcg", "ng", "ug"), ("mcg", "mg", "ug", "mg"), ("mg", "g", "mg", "g"),
        ("mcL", "mL", "uL", "mL"), ("dL", "mL", "dL", "mL"), ("L", "mL", "L", "mL"),
        ("min", "s", "min", "s"), ("h", "min", "h", "min"), ("day", "h", "d", "h"), ("week", "day", "wk", "d"),
        ("mcmol", "mmol", "umol", "mmol"), ("mol", "mmol", "mol", "mmol"),
        ("lb", "kg", "[lb_av]", "kg"), ("patient_g", "kg", "g", "kg"),
        ("mm", "cm", "mm", "cm"), ("m", "cm", "m", "cm"), ("inch", "cm", "[in_i]", "cm"),
    ],
)  # fmt: skip
def test_sizes_agree_with_ucum(ucum, one, other, ucum_one, ucum_other):
    theirs = (1 * ucum.from_ucum(ucum_one)).to(ucum.from_ucum(ucum_other)).magnitude
    ours = ratio(ATOMS[one], ATOMS[other])
    assert abs(Fraction(theirs) - ours) <= ours / 10**14  # theirs is a float


def test_the_pound_is_exact_and_fractions_stay_fractions():
    assert ratio(ATOMS["lb"], ATOMS["kg"]) == Fraction(45359237, 100000000)
    assert all(type(atom.size) is Fraction for atom in ATOMS.values())


def test_codes_for_exports_are_ucum(ucum):
    for text, code in [("mcg/kg/min", "ug/kg/min"), ("mL/h", "mL/h"), ("units/h", "[iU]/h"), ("mEq/h", "meq/h")]:
        assert named(text).ucum == code
        ucum.from_ucum(code)
    assert named("gtt/min").ucum == "{gtt}/min"


def test_only_the_closed_list_is_known():
    for name in ("unit", "U", "nit", "degC", "byte", "IU", "meter"):
        assert name not in REGISTRY
    assert atom_named("furlong") is None


@pytest.mark.parametrize(
    ("value", "to"),
    [
        ("5 mcg/kg/min", "units/h"),
        ("5 mcg/kg/min", "1/h"),
        ("5 mcg/kg/min", "mcg/min"),
        ("10 units", "mg"),
        ("10 units/h", "mcg/h"),
        ("20 gtt", "mL"),
        ("20 gtt/min", "mL/h"),
        ("10 mEq", "mmol"),
        ("10 mEq", "mg"),
        ("10 mmol", "units"),
        ("5 mg", "mL"),
        ("5 mg/mL", "mg"),
        ("5 h", "mL"),
        ("2 kg", "mL"),
    ],
)
def test_what_does_not_convert_is_refused(value, to):
    answer = calculators.solve({"find": "convert", "given": {"value": value, "to": to}})
    assert answer["error"]["code"] in ("wrong_dimension", "unknown_unit")
    assert answer["error"]["field"] == "to"


def test_base_dimensions_are_kept_apart():
    kinds = {ATOMS[name].kind for name in ("mcg", "units", "mEq", "mmol", "gtt", "kg", "mL", "s")}
    assert len(kinds) == 8
    with pytest.raises(CalculationError):
        factor(named("mcg/kg/min"), named("units/h"))
    with pytest.raises(CalculationError):
        ratio(ATOMS["mEq"], ATOMS["mmol"])


@pytest.mark.parametrize(
    ("given", "text"),
    [
        ({"dose": "5 mcg/kg/min", "weight": "70 kg", "concentration": "1,600 mcg/mL"}, "13.125 mL/h"),
        ({"dose": "18 units/kg/h", "weight": "80 kg", "concentration": "100 units/mL"}, "14.4 mL/h"),
    ],
)
def test_and_the_right_ones_still_come_out(given, text):
    assert calculators.solve({"find": "rate", "given": given})["text"] == text


@pytest.mark.parametrize(
    ("value", "to", "more", "exact"),
    [
        ("110 lb", "kg", {}, "50"),
        ("110 lb", "kg", {"weight_factor": "exact"}, str(110 * Fraction(45359237, 10**8))),
        ("50 kg", "lb", {}, "110"),
        ("2 kg", "g", {}, "2000"),
        ("3,500 g", "lb", {}, "77/10"),
        ("36 mg", "g", {}, "9/250"),
        ("5 mcg/kg/min", "mg/h", {"weight": "70 kg"}, "21"),
        ("21 mg/h", "mcg/kg/min", {"weight": "70 kg"}, "5"),
        ("1 g", "mEq", {"formula_weight": "246.47", "valence": "2"}, "200000/24647"),
        ("20 mEq", "mmol", {"valence": "1"}, "20"),
        ("8 mEq", "mmol", {"valence": "2"}, "4"),
        ("90 min", "h", {}, "3/2"),
        ("0 mL", "L", {}, "0"),
    ],
)
def test_conversions(value, to, more, exact):
    answer = calculators.solve({"find": "convert", "given": {"value": value, "to": to, **more}})
    assert answer["exact"] == exact
