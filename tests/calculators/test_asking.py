"""One request to one answer: never raising, errors as data, the verdict only when something was said."""

from __future__ import annotations

from calculators.asking import solve

# 5 mcg/kg/min × 70 kg ÷ 1,600 mcg/mL × 60 min/h = 13.125 mL/h, worked by hand
PUMP = {"dose": "5 mcg/kg/min", "weight": "70 kg", "concentration": "1600 mcg/mL"}


def test_an_answer_carries_the_id_and_the_exact_value() -> None:
    answer = solve({"id": [1, "x"], "find": "rate", "given": PUMP, "rounding": {"places": 1}})
    assert (answer["id"], answer["exact"], answer["text"]) == ([1, "x"], "105/8", "13.1 mL/h")
    assert "verdict" not in answer


def test_what_was_said_gets_a_verdict() -> None:
    answer = solve({"id": 1, "find": "rate", "given": PUMP, "rounding": {"places": 1}, "said": "13.1 mL/hr"})
    assert answer["verdict"]["code"] == "right"


def test_a_refusal_names_the_field() -> None:
    answer = solve({"id": 7, "find": "rate", "given": {**PUMP, "weight": "70 stone"}})
    assert answer["id"] == 7
    assert answer["error"]["field"] == "weight"
    assert solve("no object")["error"]["code"] == "not_json"  # type: ignore[arg-type]
