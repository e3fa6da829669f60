"""Reading a rule document: defaults, and an error with its field for everything that contradicts itself.

Covers rule, rule_parts, reading and consistency.
"""

from __future__ import annotations

import copy
from fractions import Fraction
from typing import Any

import pytest

from checkoffs.scoring.errors import ScoringError
from checkoffs.scoring.rule import MARKS, parse_rule
from tests.scoring.test_rule_text import RULE

SMALLEST = {"sections": [{"id": "a", "steps": ["a1"]}], "steps": {"a1": {"section": "a", "number": 1}}}


def test_what_is_left_out_has_its_default() -> None:
    rule = parse_rule(SMALLEST)
    assert tuple(rule.marks) == MARKS
    assert (rule.critical_all, rule.score.kind, rule.identity_required) == (True, "none", False)
    assert (rule.steps["a1"].points, rule.steps["a1"].critical) == (Fraction(1), False)
    assert not rule.marks["prompted"].satisfies


def test_steps_keep_the_lists_order_whatever_the_objects_order() -> None:
    document = copy.deepcopy(RULE)
    document["steps"] = dict(reversed(document["steps"].items()))
    assert list(parse_rule(document).steps) == ["a1", "a2", "b1", "b2"]


@pytest.mark.parametrize(
    ("path", "value", "code", "field"),
    [
        ("sections.0.steps", ["a1"], "steps_and_sections_differ", "sections"),
        ("sections.1.id", "a", "wrong_section", "steps.b1.section"),
        ("steps.a1.section", "b", "wrong_section", "steps.a1.section"),
        ("steps.a1.number", "1", "not_a_whole_number", "steps.a1.number"),
        ("steps.a1.number", True, "not_a_whole_number", "steps.a1.number"),
        ("steps.a1.number", None, "missing", "steps.a1.number"),
        ("steps.a1.points", "1e3", "not_a_decimal", "steps.a1.points"),
        ("steps.a1.points", "-1", "not_a_decimal", "steps.a1.points"),
        ("steps.a1.points", 1.5, "not_a_text", "steps.a1.points"),
        ("steps.a1.optional", True, "optional_critical", "steps.a1.optional"),
        ("steps.b1.timed", {"at_least_ms": None}, "no_bound", "steps.b1.timed.at_least_ms"),
        ("steps.b1.timed", {"at_least_ms": 9, "at_most_ms": 8}, "bounds_cross", "steps.b1.timed.at_most_ms"),
        ("steps.a2.measured.unit", None, "missing", "steps.a2.measured.unit"),
        ("marks.winked", {"credit": "1", "satisfies": True}, "unknown_mark", "marks.winked"),
        ("marks.performed.satisfies", None, "missing", "marks.performed.satisfies"),
        ("automatic_fail", ["late"], "unknown_value", "automatic_fail.0"),
        ("score.kind", "stars", "unknown_value", "score.kind"),
        ("score", {"kind": "percent"}, "no_cut", "score.cut"),
        ("score", {"kind": "all", "per_section": {"a": "1"}}, "cut_without_score", "score.per_section"),
        ("score.cut", "100.1", "cut_above_hundred", "score.cut"),
        ("score.per_section.z", "50", "unknown_section", "score.per_section.z"),
        ("limits.0.limit_ms", 0, "not_positive", "limits.0.limit_ms"),
        ("limits.0.on_reaching", "explode", "unknown_value", "limits.0.on_reaching"),
        ("limits.0.scope", "section", "missing", "limits.0.of"),
        ("limits.1.of", "z9", "unknown_step", "limits.1.of"),
        ("limits.1.id", "whole", "duplicate_id", "limits"),
        ("limits.1.id", "a1", "duplicate_id", "limits"),
        ("pairs.0.before", "z9", "unknown_step", "pairs.0.before"),
        ("pairs.0.after", "a1", "same_step", "pairs.0.after"),
        ("gaps.0.to", "b1", "same_step", "gaps.0.to"),
        ("gaps.0.at_least_ms", 90_000, "bounds_cross", "gaps.0.at_most_ms"),
        ("stated.0.closes_with", "z9", "unknown_step", "stated.0.closes_with"),
        ("stated.1.id", "rate", "duplicate_id", "stated"),
        ("stated.0.no_unit", "shrug", "unknown_value", "stated.0.no_unit"),
        ("prompts.by_kind", {"loud": 1}, "unknown_prompt", "prompts.by_kind.loud"),
        ("prompts.total", -1, "not_a_whole_number", "prompts.total"),
        ("identity_required", "yes", "not_a_flag", "identity_required"),
        ("limits", {}, "not_a_list", "limits"),
        ("limits.0", "soon", "not_an_object", "limits.0"),
    ],
)
def test_a_contradiction_names_its_field(path: str, value: Any, code: str, field: str) -> None:
    document = copy.deepcopy(RULE)
    at: Any = document
    *way, last = path.split(".")
    for key in way:
        at = at[int(key)] if isinstance(at, list) else at[key]
    at[int(last) if isinstance(at, list) else last] = value
    with pytest.raises(ScoringError) as raised:
        parse_rule(document)
    assert (raised.value.code, raised.value.field) == (code, field)
    assert raised.value.index is None
