"""Orders of the editor: one word and an id, done to a content."""

from __future__ import annotations

import pytest

from checkoffs.procedures.content import Content, numbered_steps
from checkoffs.procedures.orders import OrderError, follow
from tests.procedures.make import ids, pulse


def do(content: Content, order: str, **data: str) -> Content:
    return follow(content, order, data, lambda: "new1").content


def texts(content: Content) -> list[str]:
    return [found.step["text"] for found in numbered_steps(content)]


def test_added_steps_stand_above_and_below() -> None:
    step = ids(pulse())[1]
    assert ids(do(pulse(), f"above:{step}")).index("new1") == 1
    assert ids(do(pulse(), f"below:{step}")).index("new1") == 2


def test_the_step_shown_next_is_the_new_one() -> None:
    done = follow(pulse(), f"below:{ids(pulse())[0]}", {}, lambda: "new1")
    assert (done.step, done.said) == ("new1", "Step 2 is new. Write what is to be done.")


def test_sub_points_and_steps_change_places() -> None:
    third, fourth = ids(pulse())[2:4]
    lifted = do(pulse(), f"lift:{third}", subpoint="1")
    assert texts(lifted)[2:4] == ["Find the pulse below the thumb", "light pressure"]
    sunk = do(pulse(), f"sink:{fourth}")
    found = list(numbered_steps(sunk))[2]
    assert found.step["subpoints"][-1] == "Count for a full minute"


def test_what_the_rule_loses_is_reported() -> None:
    content, steps = pulse(), ids(pulse())
    content["rule"]["pairs"] = [{"id": "p1", "before": steps[0], "after": steps[1]}]
    done = follow(content, f"remove:{steps[0]}", {}, lambda: "new1")
    assert [(gone.part, gone.id) for gone in done.removed] == [("pair", "p1")]


def test_sections_are_added_renamed_moved_and_taken_out() -> None:
    first, second = [section["id"] for section in pulse()["sections"]]
    numbers = iter(("sec", "stp"))
    added = follow(pulse(), "section_add", {"title": "After"}, lambda: next(numbers)).content
    assert [section["title"] for section in added["sections"]] == ["Before", "At the bedside", "After"]
    assert [step["id"] for step in added["sections"][2]["steps"]] == ["stp"]
    assert do(pulse(), f"section_title:{first}", title="First")["sections"][0]["title"] == "First"
    assert do(pulse(), f"section_up:{second}")["sections"][0]["id"] == second
    assert do(pulse(), f"section_up:{first}") == pulse()
    assert len(do(pulse(), f"section_remove:{first}")["sections"]) == 1
    assert ids(do(pulse(), f"section_step:{first}"))[2] == "new1"


@pytest.mark.parametrize(
    ("order", "data", "why"),
    [
        ("explode:s1", {}, "not known"),
        ("up:gone", {}, "no longer there"),
        ("section_up:gone", {}, "no longer there"),
        ("place:s1", {"section": "gone", "to": "0"}, "no longer there"),
        ("lift:s4", {}, "Choose"),
        ("lift:s4", {"subpoint": "9"}, "no longer there"),
        ("split:s1", {"first": "a", "second": " "}, "Both halves"),
        ("section_add", {"title": " "}, "title"),
    ],
)
def test_what_cannot_be_done_is_said(order: str, data: dict[str, str], why: str) -> None:
    content = pulse()
    with pytest.raises(OrderError, match=why):
        follow(content, order.replace("s4", ids(content)[2]), data, lambda: "new1")
    assert content == pulse()


def test_a_first_step_has_no_step_above_it() -> None:
    with pytest.raises(OrderError, match="no step above"):
        do(pulse(), f"sink:{ids(pulse())[0]}")
