"""Edits leave the given document alone, keep ids with their step, and leave nothing dangling in the rule."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from checkoffs.procedures import editing
from checkoffs.procedures.content import empty_content, new_section, new_step, numbered_steps, validate


def small() -> Any:
    content: Any = empty_content("Eye drops")
    for letter in "ab":
        section = new_section(letter, letter.upper())
        section["steps"] = [new_step(f"{letter}{place}", f"Do {letter}{place}") for place in (1, 2, 3)]
        content["sections"].append(section)
    content["rule"].update(
        pairs=[{"id": "p1", "before": "a1", "after": "b2", "critical": True}],
        gaps=[{"id": "g1", "from": "a2", "to": "b1", "at_least_s": 5, "at_most_s": None, "critical": False}],
        limits=[
            {"id": "l1", "scope": "step", "of": "a3", "limit_s": 60, "on_reaching": "record", "scalable": False},
            {"id": "l2", "scope": "section", "of": "b", "limit_s": 60, "on_reaching": "record", "scalable": False},
        ],
        stated=[{"id": "rate", "label": "Rate", "step": "a3", "closes_with": "b3"}],
        score={"kind": "percent", "cut": "80", "per_section": {"b": "70"}, "retake_cap": None},
    )
    return content


def order(content: Any) -> list[list[str]]:
    return [[step["id"] for step in section["steps"]] for section in content["sections"]]


def test_sections_are_added_renamed_and_moved() -> None:
    content = editing.add_section(small(), "c", "Closing", at=1)
    assert [section["id"] for section in content["sections"]] == ["a", "c", "b"]
    moved = editing.move_section(content, "c", 99)
    assert [section["id"] for section in moved["sections"]] == ["a", "b", "c"]
    assert editing.change_section(moved, "c", "After")["sections"][2]["title"] == "After"


def test_steps_are_added_changed_and_moved() -> None:
    content = editing.add_step(small(), "a", "new", "Look", at=1)
    assert order(content)[0] == ["a1", "new", "a2", "a3"]
    assert order(editing.move_step(content, "new", "b", 0)) == [["a1", "a2", "a3"], ["new", "b1", "b2", "b3"]]
    changed = editing.change_step(content, "new", text="Look twice", id="stolen")
    assert changed["sections"][0]["steps"][1]["text"] == "Look twice"
    assert order(changed)[0][1] == "new"


@pytest.mark.parametrize(
    ("step", "by", "expected"),
    [
        ("a2", -1, [["a2", "a1", "a3"], ["b1", "b2", "b3"]]),
        ("a2", 1, [["a1", "a3", "a2"], ["b1", "b2", "b3"]]),
        ("a3", 1, [["a1", "a2"], ["a3", "b1", "b2", "b3"]]),
        ("b1", -1, [["a1", "a2", "a3", "b1"], ["b2", "b3"]]),
        ("a1", -1, [["a1", "a2", "a3"], ["b1", "b2", "b3"]]),
        ("b3", 1, [["a1", "a2", "a3"], ["b1", "b2", "b3"]]),
    ],
)
def test_a_step_shifts_by_one_and_over_the_edge_of_its_section(step: str, by: int, expected: list[list[str]]) -> None:
    assert order(editing.shift_step(small(), step, by)) == expected


def test_removing_a_step_takes_out_what_named_it_and_says_so() -> None:
    edited = editing.remove_step(small(), "a1")
    assert edited.content["rule"]["pairs"] == []
    assert [(gone.part, gone.id) for gone in edited.removed] == [("pair", "p1")]
    edited = editing.remove_step(small(), "a3")
    assert [(gone.part, gone.id) for gone in edited.removed] == [("limit", "l1"), ("stated", "rate")]
    assert edited.content["rule"]["stated"][0]["step"] is None
    assert edited.content["rule"]["stated"][0]["closes_with"] == "b3"


def test_removing_a_section_takes_its_steps_limit_and_cut() -> None:
    edited = editing.remove_section(small(), "b")
    gone = [(gone.part, gone.id) for gone in edited.removed]
    assert gone == [("pair", "p1"), ("gap", "g1"), ("limit", "l2"), ("stated", "rate"), ("score", "b")]
    assert edited.content["rule"]["score"]["per_section"] == {}


def test_a_split_step_keeps_its_id_and_place() -> None:
    content = editing.change_step(small(), "a1", critical=True, critical_reason="Wrong eye", cue="Listen")
    split = editing.split_step(content, "a1", "new", "Ask the name", "Ask the birth date")
    first, second = split["sections"][0]["steps"][:2]
    assert (first["id"], first["text"], first["cue"]) == ("a1", "Ask the name", "Listen")
    assert (second["id"], second["text"], second["cue"]) == ("new", "Ask the birth date", "")
    assert (second["critical"], second["critical_reason"]) == (True, "Wrong eye")


def test_joined_steps_lose_no_words_and_the_rule_follows() -> None:
    content = editing.change_step(small(), "b2", critical=True, critical_reason="R", subpoints=["x"], why="W")
    edited = editing.join_steps(content, "b1", "b2")
    joined = edited.content["sections"][1]["steps"][0]
    assert (joined["text"], joined["subpoints"], joined["why"]) == ("Do b1 Do b2", ["x"], "W")
    assert (joined["critical"], joined["critical_reason"]) == (True, "R")
    assert edited.content["rule"]["pairs"][0]["after"] == "b1"
    assert edited.removed == ()


def test_joining_the_two_ends_of_a_pair_takes_the_pair_out() -> None:
    edited = editing.join_steps(small(), "a1", "b2")
    assert [(gone.part, gone.id) for gone in edited.removed] == [("pair", "p1")]
    assert order(edited.content) == [["a1", "a2", "a3"], ["b1", "b3"]]


def test_a_step_becomes_a_subpoint_and_comes_back() -> None:
    content = editing.change_step(small(), "a2", subpoints=["x", "y"])
    lowered = editing.step_to_subpoint(content, "a2").content
    assert lowered["sections"][0]["steps"][0]["subpoints"] == ["Do a2", "x", "y"]
    raised = editing.subpoint_to_step(lowered, "a1", 0, "back")
    first, back = raised["sections"][0]["steps"][:2]
    assert (first["subpoints"], back["text"], back["subpoints"]) == ([], "Do a2", ["x", "y"])
    assert order(editing.step_to_subpoint(content, "a1").content) == order(content)


@pytest.mark.parametrize(
    "edit",
    [
        lambda c: editing.remove_step(c, "zz"),
        lambda c: editing.remove_section(c, "zz"),
        lambda c: editing.change_step(c, "zz", text=""),
        lambda c: editing.subpoint_to_step(c, "a1", 0, "n"),
    ],
)
def test_an_unknown_place_is_an_error(edit: Any) -> None:
    with pytest.raises(KeyError):
        edit(small())


STEPS = st.sampled_from(["a1", "a2", "a3", "b1", "b2", "b3"])


@settings(max_examples=120, deadline=None)
@given(
    st.lists(
        st.tuples(st.sampled_from(["remove", "join", "shift", "lower", "move"]), STEPS, STEPS, st.integers(-1, 5)),
        max_size=8,
    )
)
def test_no_chain_of_edits_leaves_a_reference_dangling(edits: list[tuple[str, str, str, int]]) -> None:
    content, given_content = small(), small()
    for kind, one, other, number in edits:
        before = deepcopy(content)
        here = {entry.step["id"] for entry in numbered_steps(content)}
        if {one, other} - here:
            continue
        new = {
            "remove": lambda: editing.remove_step(content, one).content,  # noqa: B023
            "join": lambda: editing.join_steps(content, one, other).content,  # noqa: B023
            "shift": lambda: editing.shift_step(content, one, 1 if number > 2 else -1),  # noqa: B023
            "lower": lambda: editing.step_to_subpoint(content, one).content,  # noqa: B023
            "move": lambda: editing.move_step(content, one, "b", number),  # noqa: B023
        }[kind]()
        assert content == before
        content = new
    assert validate(content) == []
    assert editing.clean_rule(content).removed == ()
    assert given_content == small()
