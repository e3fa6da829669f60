"""Verdicts on stated values by a frozen key: rows that any other reader of a key (a browser) must agree with."""

import json
from pathlib import Path

import pytest

import calculators

ROWS = json.loads(
    (Path(__file__).parents[2] / "fixtures" / "vectors" / "calculators" / "verdicts.json").read_text(encoding="utf-8")
)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["id"])
def test_verdict(row):
    verdict = calculators.verify({"exact": "105/8", "expected": "13.1", **row["key"]}, **row["said"])
    assert (verdict["code"], verdict["number"]) == (row["code"], row["number"])


def test_a_wrong_unit_says_what_was_read_and_asked():
    verdict = calculators.verify(ROWS[0]["key"], "13.1", "ml/min")
    assert verdict["why"] == "read mL/min, asked for mL/h"
    assert calculators.verify(ROWS[0]["key"], "13.1", "cups")["why"] == "read no known unit, asked for mL/h"


def test_notation_of_number_and_unit_is_gathered():
    verdict = calculators.verify(ROWS[0]["key"], "13.10", "cc/h")
    assert verdict["notation"] == ["trailing zero: write 13.1, not 13.10", "cc: write mL"]
