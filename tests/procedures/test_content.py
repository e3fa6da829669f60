"""The content document: what its shape accepts (content_shape), step numbers, and the scoring rule made of it."""

from __future__ import annotations

import json
from copy import deepcopy
from itertools import count
from typing import Any

import pytest

from checkoffs.procedures.content import (
    completed,
    empty_content,
    find_step,
    from_reading,
    new_section,
    new_step,
    numbered_steps,
    scoring_rule,
    section_letter,
    validate,
)
from checkoffs.procedures.reading import read
from checkoffs.scoring.rule import parse_rule


def small() -> Any:
    content: Any = empty_content("Eye drops")
    for letter, size in (("a", 2), ("b", 3)):
        section = new_section(letter, letter.upper())
        section["steps"] = [new_step(f"{letter}{place}", f"Do {letter}{place}") for place in range(1, size + 1)]
        content["sections"].append(section)
    return content


def test_steps_are_numbered_through_and_sections_lettered() -> None:
    found = [(entry.number, entry.letter, entry.step["id"]) for entry in numbered_steps(small())]
    assert found == [(1, "A", "a1"), (2, "A", "a2"), (3, "B", "b1"), (4, "B", "b2"), (5, "B", "b3")]


@pytest.mark.parametrize(
    ("position", "letter"), [(0, "A"), (25, "Z"), (26, "AA"), (27, "AB"), (51, "AZ"), (52, "BA")]
)
def test_letters_go_on_after_z(position: int, letter: str) -> None:
    assert section_letter(position) == letter


def test_a_step_is_found_by_its_id() -> None:
    assert find_step(small(), "b1").number == 3
    assert find_step(small(), "nowhere") is None


def test_a_new_procedure_has_a_sound_shape_and_is_plain_json() -> None:
    assert validate(small()) == []
    assert json.loads(json.dumps(small())) == small()


@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("title", 5),
        ("title", "x" * 201),
        ("surprise", "x"),
        ("sections", {}),
        ("sections.0.id", ""),
        ("sections.0.id", "a b"),
        ("sections.0.steps.0.text", None),
        ("sections.0.steps.0.critical", 1),
        ("sections.0.steps.0.marks", ["perfect"]),
        ("sections.0.steps.0.right", [""]),
        ("sections.0.steps.0.points", 1),
        ("sections.0.steps.0.points", "one"),
        ("sections.0.steps.0.timed", {"at_least_s": 1.5}),
        ("sections.0.steps.0.timed", {"at_least_s": True}),
        ("sections.0.steps.0.measured", {"tolerance": "2"}),
        ("rule.score", {"kind": "stars"}),
        ("rule.score", {"kind": "percent", "cut": 80}),
        ("rule.score", {"kind": "percent", "cut": "8e9"}),
        ("rule.limits", [{"id": "x", "scope": "world", "limit_s": 5, "on_reaching": "fail"}]),
        ("rule.limits", [{"id": "x", "scope": "whole", "on_reaching": "fail"}]),
        ("rule.limits", [{"id": "x", "scope": "whole", "limit_s": 10**9, "on_reaching": "fail"}]),
        ("rule.pairs", [{"id": "p", "before": "a1"}]),
        ("rule.stated", [{"id": "rate", "label": "Rate", "no_unit": "perhaps"}]),
        ("rule.mark_scale", {"perfect": {"credit": "1", "satisfies": True}}),
        ("rule.prompts", {"by_kind": {"loud": 1}}),
    ],
)
def test_a_wrong_value_is_named_by_its_path(path: str, value: Any) -> None:
    content = small()
    *way, last = path.split(".")
    place: Any = content
    for part in way:
        place = place[int(part)] if part.isdigit() else place[part]
    place[last] = value
    problems = validate(content)
    assert len(problems) == 1
    assert problems[0].path.startswith(path)
    assert problems[0].message
    assert problems[0].accepted


@pytest.mark.parametrize("nonsense", [None, [], "text", 5, {"title": "x"}])
def test_something_else_altogether_is_a_problem_and_no_error(nonsense: Any) -> None:
    assert validate(nonsense)


def test_what_is_left_out_is_completed() -> None:
    short: Any = {"title": "T", "sections": [{"id": "s", "steps": [{"id": "x", "text": "Do"}]}], "rule": {}}
    before = deepcopy(short)
    whole = completed(short)
    assert validate(short) == validate(whole) == []
    assert whole["sections"][0]["steps"][0] == new_step("x", "Do")
    assert whole["rule"] == empty_content("T")["rule"]
    assert short == before


def test_the_scoring_rule_is_one_the_scoring_accepts() -> None:
    content = small()
    step = content["sections"][0]["steps"][0]
    step.update(critical=True, critical_reason="Wrong eye", timed={"at_least_s": 5, "at_most_s": None}, points="2")
    content["rule"].update(
        limits=[{"id": "whole", "scope": "whole", "limit_s": 300, "on_reaching": "fail", "scalable": True}],
        gaps=[{"id": "g", "from": "a1", "to": "b1", "at_least_s": 15}],
        pairs=[{"id": "p", "before": "a1", "after": "b2", "critical": True}],
        mark_scale={"prompted": {"credit": "0.5", "satisfies": False}},
    )
    rule = parse_rule(scoring_rule(content))
    assert rule.limits[0].limit_ms == 300_000
    assert (rule.gaps[0].bounds.at_least_ms, rule.gaps[0].bounds.at_most_ms) == (15_000, None)
    assert rule.steps["a1"].timed.at_least_ms == 5_000
    assert (rule.steps["a1"].reason, str(rule.steps["a1"].points)) == ("Wrong eye", "2")
    assert rule.steps["b3"].number == 5
    assert str(rule.marks["prompted"].credit) == "1/2"
    assert rule.marks["performed"].satisfies
    assert rule.identity_required


def test_a_reading_becomes_a_first_draft() -> None:
    numbers = count(1)
    reading = read("Eye drops\n\nBefore:\n1. Wash *\n2. Ask\n   - name\nAfter:\n3. Chart")
    content = from_reading(reading, lambda: f"n{next(numbers)}")
    assert validate(content) == []
    assert [section["title"] for section in content["sections"]] == ["Before", "After"]
    steps = [entry.step for entry in numbered_steps(content)]
    assert [(step["text"], step["critical"], step["subpoints"]) for step in steps] == [
        ("Wash", True, []),
        ("Ask", False, ["name"]),
        ("Chart", False, []),
    ]
    ids = [section["id"] for section in content["sections"]] + [step["id"] for step in steps]
    assert len(set(ids)) == 5


def test_steps_under_no_heading_still_get_a_section_title() -> None:
    assert from_reading(read("1. Wash"), lambda: "x")["sections"][0]["title"] == "Steps"
