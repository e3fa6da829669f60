"""Published figures: each row names its source and is recomputed exactly; known-wrong rows are shown to differ.

Rows tagged "from memory" were not read again while they were entered.
"""

import json
from fractions import Fraction
from pathlib import Path

import pytest

import calculators
from calculators.rounding import read_policy

FOLDER = Path(__file__).parents[2] / "fixtures" / "vectors" / "calculators"


def rows(name):
    return json.loads((FOLDER / f"{name}.json").read_text(encoding="utf-8"))


def named(row):
    return row["id"]


@pytest.mark.parametrize("row", rows("published") + rows("further"), ids=named)
def test_published_figures_come_out(row):
    answer = calculators.solve(row["request"])
    assert "error" not in answer, answer
    published = row["published"]
    if "exact" in row:
        assert answer["exact"] == row["exact"]
    assert answer["unit"] == published["unit"]
    if published["value"] is not None:
        assert answer["value"] == published["value"]


@pytest.mark.parametrize("row", rows("published") + rows("further") + rows("known_wrong"), ids=named)
def test_every_row_names_its_source_and_no_address(row):
    assert row["source"]
    assert "http" not in json.dumps(row)
    assert "where_found" not in row


@pytest.mark.parametrize("row", rows("known_wrong"), ids=named)
def test_known_wrong_rows_are_not_agreed_with(row):
    answer = calculators.solve(row["request"])
    assert answer["exact"] == row["exact"]
    assert answer["unit"] == row["printed"]["unit"]
    printed = Fraction(row["printed"]["value"])
    assert printed != Fraction(answer["value"])
    for places in range(3):
        for mode in ("half_up", "half_even", "down"):
            policy = read_policy({"places": places, "mode": mode})
            assert policy.apply(Fraction(row["exact"])) != printed


def test_equivalents_and_drops_are_not_converted_as_ucum_does():
    """UCUM essence 2.2: meq is 1 mmol, [drp] is 1/20 mL. Both are refused without valence or drop factor."""
    for value, to in (("1 mEq", "mmol"), ("1 gtt", "mL")):
        answer = calculators.solve({"find": "convert", "given": {"value": value, "to": to}})
        assert answer["error"]["code"] == "wrong_dimension"


def test_a_legal_rate_can_exceed_the_day():
    """Derived from FDA labelling, magnesium sulfate: 2 g/h for 24 h is 48 g, above 40 g in 24 h."""
    given = {"dose": "2 g/h", "concentration": "40 mg/mL", "max_rate": "150 mg/min", "max_per_day": "40 g/24 h"}
    answer = calculators.solve({"find": "rate", "given": given})
    assert answer["exact"] == "50"
    assert [c for c in answer["cautions"] if "limit" in c] == [
        "limit exceeded: 48 g in 24 h is above max_per_day 40 g/24 h"
    ]


def test_there_are_at_least_forty_further_rows():
    assert len(rows("further")) >= 40
    assert len({json.dumps(row["request"], sort_keys=True) for row in rows("published") + rows("further")}) >= 100
