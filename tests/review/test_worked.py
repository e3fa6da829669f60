"""Two workings side by side: 154 lb ÷ 2.2 lb/kg = 70 kg against 154 lb taken as kilograms (worked by hand)."""

from __future__ import annotations

from checkoffs.records.snapshot import build
from checkoffs.review.worked import side_by_side, stated_values
from tests.records import documents, infusion


def line(text: str, gives: str) -> dict[str, str]:
    return {"text": text, "gives": gives}


WORKED = [line("154 lb ÷ 2.2 lb/kg", "70 kg"), line("5 × 70 kg", "350 mcg/min"), line("to a tenth", "13.1 mL/h")]
SLIP = [line("154 lb, not divided", "154 kg"), line("5 × 154 kg", "770 mcg/min"), line("to a tenth", "28.9 mL/h")]


def test_same_length_stands_line_by_line_and_is_washed_once() -> None:
    rows = side_by_side(WORKED, SLIP)
    assert [row["here"] for row in rows] == [True, False, False]
    assert [row["last"] for row in rows] == [False, False, True]
    assert (rows[0]["gives"], rows[0]["slip_gives"]) == ("70 kg", "154 kg")


def test_a_line_too_many_stands_alone_and_the_rest_stays_level() -> None:
    """Pounds divided twice: the slip has one line more after the first, which is the same."""
    twice = [
        WORKED[0],
        line("÷ 2.2 lb/kg", "31.8 kg"),
        line("5 × 31.8 kg", "159 mcg/min"),
        line("to a tenth", "6 mL/h"),
    ]
    rows = side_by_side(WORKED, twice)
    assert [row["text"] for row in rows] == [WORKED[0]["text"], "", WORKED[1]["text"], "to a tenth"]
    assert [row["here"] for row in rows] == [False, True, False, False]


def test_without_a_slip_only_the_working_is_there() -> None:
    rows = side_by_side(WORKED, [])
    assert [row["slip_text"] for row in rows] == ["", "", ""]
    assert not any(row["here"] for row in rows)


def test_stated_values_carry_said_worked_and_slip() -> None:
    """28.9 mL/h said against 13.1 mL/h; 470 mL right."""
    rate, vtbi = stated_values(build(documents.source(), documents.seal()))
    assert (rate["said"], rate["unit"], rate["expected"], rate["expected_unit"]) == ("28.9", "mL/h", "13.1", "mL/h")
    assert (rate["right"], rate["slip"], rate["time"], rate["number"]) == (
        False, "pounds taken as kilograms", "8:50", 14,
    )  # fmt: skip
    assert (vtbi["right"], vtbi["slip"], vtbi["decides"]) == (True, None, False)


def test_no_case_no_values() -> None:
    assert stated_values(build(documents.source(case=None), documents.seal())) == []
    assert infusion.CASE["title"]
