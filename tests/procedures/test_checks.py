"""What publishing refuses, one contradiction at a time; and that nothing refuses the demo procedures.

Through the one door `refusals`: checks_finding, checks_order, checks_score and checks_time.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from checkoffs.procedures.checks import refusals
from checkoffs.procedures.checks_order import find_circle
from checkoffs.procedures.content import empty_content, new_section, new_step, numbered_steps, scoring_rule, validate
from checkoffs.scoring.rule import parse_rule

DEMO = Path(__file__).resolve().parents[2] / "fixtures" / "demo"
PROCEDURES = sorted((DEMO / "procedures").glob("*.json"))


def sound() -> Any:
    """Five steps in two sections, one critical, a percent score, a limit, a pair, a gap and a stated value."""
    content: Any = empty_content("Eye drops")
    for letter, size in (("a", 2), ("b", 3)):
        section = new_section(letter, letter.upper())
        section["steps"] = [new_step(f"{letter}{place}", f"Do {letter}{place}") for place in range(1, size + 1)]
        content["sections"].append(section)
    content["sections"][0]["steps"][0].update(critical=True, critical_reason="Wrong eye")
    content["rule"].update(
        score={"kind": "percent", "cut": "80", "per_section": {}, "retake_cap": None},
        limits=[limit("whole", "whole", None, 300)],
        pairs=[pair("p1", "a1", "b1")],
        gaps=[gap("g1", "b1", "b2", 15, 60)],
        stated=[{"id": "drops", "label": "Drops", "step": "b1", "closes_with": "b3"}],
    )
    return content


def pair(key: str, before: str, after: str) -> dict[str, Any]:
    return {"id": key, "before": before, "after": after, "critical": False}


def gap(key: str, start: str, stop: str, least: int | None, most: int | None) -> dict[str, Any]:
    return {"id": key, "from": start, "to": stop, "at_least_s": least, "at_most_s": most, "critical": False}


def limit(key: str, scope: str, of: str | None, seconds: int, then: str = "fail") -> dict[str, Any]:
    return {"id": key, "scope": scope, "of": of, "limit_s": seconds, "on_reaching": then, "scalable": True}


def step(content: Any, step_id: str) -> Any:
    return next(found.step for found in numbered_steps(content) if found.step["id"] == step_id)


def codes(content: Any, case_checks: set[str] | None = None) -> list[tuple[str, str]]:
    return [(finding.code, finding.where) for finding in refusals(content, case_checks=case_checks)]


def test_a_sound_procedure_is_not_refused() -> None:
    assert refusals(sound(), case_checks={"drops"}) == []


def rule(**parts: Any) -> Any:
    return lambda content: content["rule"].update(parts)


def on(step_id: str, **fields: Any) -> Any:
    return lambda content: step(content, step_id).update(fields)


def percent(**score: Any) -> Any:
    return rule(score={"kind": "percent", "cut": "80", **score})


FAULTS = [
    ("no_title", "title", lambda c: c.update(title=" ")),
    ("step_without_text", "step:b1", on("b1", text=" ")),
    ("empty_section", "section:c", lambda c: c["sections"].append(new_section("c", "C"))),
    ("critical_without_reason", "step:a1", on("a1", critical_reason="  ")),
    ("critical_optional", "step:a1", on("a1", optional=True)),
    ("critical_ignored", "rule:critical_all", rule(critical_all=False)),
    ("no_mark_allowed", "step:b3", on("b3", marks=[])),
    ("cannot_be_satisfied", "step:a1", on("a1", marks=["prompted", "said", "not_performed"])),
    ("cannot_be_satisfied", "step:a1", on("a1", marks=["not_applicable", "not_performed"])),
    ("credit_out_of_range", "mark:said", rule(mark_scale={"said": {"credit": "1.5", "satisfies": False}})),
    ("negative_points", "step:b3", on("b3", points="-0.5")),
    ("no_cut", "score", percent(cut=None)),
    ("cut_above_hundred", "score", percent(cut="100.5")),
    ("cut_not_positive", "score", percent(cut="0")),
    ("cut_above_possible", "score", rule(score={"kind": "points", "cut": "5.5"})),
    ("cut_above_possible", "section:b", rule(score={"kind": "points", "cut": "1", "per_section": {"b": "4"}})),
    ("cut_above_possible", "score", lambda c: (percent(cut="81")(c), on("b3", marks=["said"])(c))),
    ("unknown_section", "score", percent(per_section={"z": "70"})),
    ("cap_below_cut", "score", percent(retake_cap="79.9")),
    ("cut_without_score", "score", rule(score={"kind": "none", "cut": "80"})),
    ("cap_without_score", "score", rule(score={"kind": "all", "retake_cap": "80"})),
    ("order_circle", "step:a1", rule(pairs=[pair("p", "a1", "b1"), pair("q", "b1", "a2"), pair("r", "a2", "a1")])),
    ("same_step", "pair:p", rule(pairs=[pair("p", "a1", "a1")])),
    ("unknown_step", "pair:p", rule(pairs=[pair("p", "a1", "zz")])),
    ("pair_twice", "pair:q", rule(pairs=[pair("p", "a1", "b1"), pair("q", "a1", "b1")])),
    ("gap_against_order", "gap:g", rule(gaps=[gap("g", "b1", "a1", 5, None)])),
    ("gap_against_order", "step:b2", rule(gaps=[gap("g", "b2", "b3", 5, None), gap("h", "b3", "b2", 5, None)])),
    ("gap_bounds_cross", "gap:g", rule(gaps=[gap("g", "a1", "b1", 30, 20)])),
    ("gap_without_bound", "gap:g", rule(gaps=[gap("g", "a1", "b1", None, None)])),
    ("negative_time", "gap:g", rule(gaps=[gap("g", "a1", "b1", -5, None)])),
    ("unknown_step", "gap:g", rule(gaps=[gap("g", "zz", "b1", 5, None)])),
    (
        "gap_too_tight",
        "gap:long",
        rule(gaps=[gap("x", "a1", "a2", 30, None), gap("y", "a2", "b1", 31, None), gap("long", "a1", "b1", 0, 60)]),
    ),
    ("limit_not_positive", "limit:whole", rule(limits=[limit("whole", "whole", None, 0)])),
    ("unknown_section", "limit:l", rule(limits=[limit("l", "section", "z", 60)])),
    ("unknown_step", "limit:l", rule(limits=[limit("l", "step", None, 60)])),
    ("limit_twice", "limit:m", rule(limits=[limit("l", "whole", None, 60), limit("m", "whole", None, 60)])),
    ("limit_beyond_outer", "limit:l", rule(limits=[limit("w", "whole", None, 60), limit("l", "section", "b", 61)])),
    ("limit_beyond_outer", "limit:l", rule(limits=[limit("s", "section", "b", 60), limit("l", "step", "b1", 61)])),
    ("waits_exceed_limit", "limit:w", rule(limits=[limit("w", "whole", None, 14)])),
    ("waits_exceed_limit", "limit:s", rule(limits=[limit("s", "section", "b", 14)])),
    ("waits_exceed_limit", "limit:whole", on("b3", timed={"at_least_s": 301, "at_most_s": None})),
    ("timed_bounds_cross", "step:b3", on("b3", timed={"at_least_s": 20, "at_most_s": 10})),
    ("timed_without_bound", "step:b3", on("b3", timed={})),
    ("negative_time", "step:b3", on("b3", timed={"at_most_s": -1})),
    ("negative_tolerance", "step:b3", on("b3", measured={"unit": "gtt/min", "tolerance": "-2"})),
    ("unknown_step", "stated:drops", rule(stated=[{"id": "drops", "label": "Drops", "step": "zz"}])),
    (
        "closes_too_early",
        "stated:drops",
        rule(stated=[{"id": "drops", "label": "Drops", "step": "b2", "closes_with": "b1"}]),
    ),
    (
        "critical_not_right",
        "stated:drops",
        rule(stated=[{"id": "drops", "label": "Drops", "critical": True, "must_be_right": False}]),
    ),
    ("unknown_automatic_fail", "rule:automatic_fail", rule(automatic_fail=["bad_mood"])),
    ("negative_prompts", "prompts", rule(prompts={"total": -1, "by_kind": {}})),
    ("negative_prompts", "prompts", rule(prompts={"total": None, "by_kind": {"time": -1}})),
    ("prompts_above_total", "prompts", rule(prompts={"total": 1, "by_kind": {"time": 2}})),
    ("duplicate_id", "step:a1", on("b1", id="a1")),
    ("duplicate_id", "pair:p", rule(pairs=[pair("p", "a1", "b1"), pair("p", "a2", "b1")])),
    ("duplicate_id", "limit:a1", rule(limits=[limit("a1", "whole", None, 60)])),
    ("shape", "rule.score.kind", rule(score={"kind": "stars"})),
]  # fmt: skip


@pytest.mark.parametrize(
    ("code", "where", "spoil"), FAULTS, ids=[f"{code}-{n}" for n, (code, _, _) in enumerate(FAULTS)]
)
def test_each_contradiction_is_refused_and_explained(code: str, where: str, spoil: Any) -> None:
    content = sound()
    spoil(content)
    found = refusals(content, case_checks=None)
    assert [(finding.code, finding.where) for finding in found] == [(code, where)]
    assert found[0].why
    assert found[0].accepted


def test_a_procedure_without_steps_is_refused() -> None:
    assert codes(empty_content("Nothing")) == [("no_steps", "sections")]


def test_a_procedure_with_only_optional_steps_is_refused() -> None:
    content = empty_content("All at will")
    content["sections"] = [new_section("a", "A")]
    content["sections"][0]["steps"] = [{**new_step("a1", "Do"), "optional": True}]
    assert codes(content) == [("only_optional", "sections")]


def test_a_rule_that_nobody_can_fail_is_refused() -> None:
    content = sound()
    step(content, "a1").update(critical=False)
    content["rule"] = {"automatic_fail": [], "score": {"kind": "none"}}
    assert codes(content) == [("cannot_be_failed", "rule")]


def test_a_stated_value_needs_an_answer_in_every_case() -> None:
    assert codes(sound(), set()) == [("stated_without_case", "stated:drops")]
    assert codes(sound(), {"rate"}) == [("stated_without_case", "stated:drops")]
    assert codes(sound(), None) == []


def test_a_closing_step_that_pairs_put_first_closes_too_early() -> None:
    content = sound()
    content["rule"]["stated"] = [{"id": "drops", "label": "Drops", "step": "b1", "closes_with": "b3"}]
    content["rule"]["gaps"] = []
    content["rule"]["pairs"] = [pair("p", "b3", "b2"), pair("q", "b2", "b1")]
    assert codes(content) == [("closes_too_early", "stated:drops")]


def test_a_prompted_mark_passes_a_critical_step_only_when_the_scale_says_so() -> None:
    content = sound()
    step(content, "a1")["marks"] = ["prompted", "not_performed"]
    content["rule"]["mark_scale"] = {"prompted": {"credit": "1", "satisfies": True}}
    assert codes(content) == []


def test_a_limit_that_only_records_may_be_short() -> None:
    content = sound()
    content["rule"]["limits"] = [limit("w", "whole", None, 10, "record")]
    assert codes(content) == []


def test_with_kind_all_every_required_step_must_be_satisfiable() -> None:
    content = sound()
    content["rule"]["score"] = {"kind": "all"}
    step(content, "b3")["marks"] = ["said"]
    assert codes(content) == [("cannot_be_satisfied", "step:b3")]


@pytest.mark.parametrize("cut", ["80", "100"])
def test_a_cut_up_to_what_can_be_earned_is_accepted(cut: str) -> None:
    content = sound()
    content["rule"]["score"]["cut"] = cut
    assert codes(content) == []


@settings(max_examples=200, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 7), st.integers(0, 7)), max_size=14))
def test_a_circle_is_found_exactly_when_no_order_exists(edges: list[tuple[int, int]]) -> None:
    """Held against the standard library's own topological sort."""
    from graphlib import CycleError, TopologicalSorter

    sorter: TopologicalSorter[str] = TopologicalSorter()
    for before, after in edges:
        sorter.add(str(after), str(before))
    try:
        sorter.prepare()
        circular = False
    except CycleError:
        circular = True
    named = [(str(before), str(after)) for before, after in edges]
    circle = find_circle(named)
    assert bool(circle) == circular
    assert all(step in named for step in zip(circle, [*circle[1:], *circle[:1]], strict=True))


@pytest.mark.parametrize("path", PROCEDURES, ids=lambda path: path.stem)
def test_demo_procedure_can_be_published(path: Path) -> None:
    content = json.loads(path.read_text("utf-8"))
    case = DEMO / "cases" / path.name
    checks = {check["id"] for check in json.loads(case.read_text("utf-8"))["checks"]} if case.exists() else set()
    assert validate(content) == []
    assert refusals(content, case_checks=checks) == []
    assert parse_rule(scoring_rule(content)).pairs
    assert content["summary"].startswith("Invented")
    steps = [found.step for found in numbered_steps(content)]
    assert 12 <= len(steps) <= 40
    assert all(step["why"] and step["right"] for step in steps)
    assert any(step["critical"] for step in steps)
    stated = {entry["id"] for entry in content["rule"]["stated"]}
    assert stated == checks


def test_there_are_six_demo_procedures() -> None:
    assert len(PROCEDURES) == 6
