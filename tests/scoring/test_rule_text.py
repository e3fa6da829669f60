"""The rule in force, in words."""

from __future__ import annotations

from typing import Any

from checkoffs.scoring.rule_text import rule_sentences

TEXTS = {"a1": "Clean hands", "a2": "Count the breaths", "b1": "Scrub the hub", "b2": "State the rate"}
CLOSING = "What cannot be told is counted both ways; if that changes the outcome, an instructor decides."
RULE: dict[str, Any] = {
    "sections": [{"id": "a", "steps": ["a1", "a2"]}, {"id": "b", "steps": ["b1", "b2"]}],
    "steps": {
        "a1": {"section": "a", "number": 1, "critical": True},
        "a2": {"section": "a", "number": 2, "measured": {"unit": "/min", "target": None, "tolerance": "2"}},
        "b1": {"section": "b", "number": 3, "critical": True, "timed": {"at_least_ms": 15000, "at_most_ms": None}},
        "b2": {"section": "b", "number": 4},
    },
    "marks": {
        "performed": {"credit": "1", "satisfies": True},
        "prompted": {"credit": "0.5", "satisfies": False},
        "not_performed": {"credit": "0", "satisfies": False},
    },
    "automatic_fail": ["breach_unnoticed", "safety_stop"],
    "score": {"kind": "percent", "cut": "80", "per_section": {"b": "77"}, "retake_cap": "77"},
    "limits": [
        {"id": "whole", "scope": "whole", "limit_ms": 1_500_000, "on_reaching": "fail_unfinished", "scalable": True},
        {"id": "scrub", "scope": "step", "of": "b1", "limit_ms": 90_000, "on_reaching": "record"},
    ],
    "pairs": [{"id": "p", "before": "a1", "after": "b1", "critical": True}],
    "gaps": [{"id": "g", "from": "b1", "to": "b2", "at_least_ms": 5000, "at_most_ms": 60_000}],
    "stated": [
        {"id": "rate", "label": "Rate", "critical": True, "closes_with": "b2", "grades_rounding": True},
        {"id": "vtbi", "label": "VTBI", "step": "b2", "no_unit": "accepted"},
        {"id": "time", "label": "Time", "must_be_right": False},
    ],
    "prompts": {"total": 2, "by_kind": {"specific": 0}},
    "identity_required": True,
}


def test_every_part_of_a_rule_is_said_once() -> None:
    assert rule_sentences(RULE, TEXTS, "1.5") == [
        "Every critical step must be satisfied: step 1, “Clean hands” and step 3, “Scrub the hub”.",
        "A step is satisfied when it is marked performed.",
        "“performed only after a prompt” earns 0.5 of a step's points.",
        "Fails in any case: a breach of asepsis or safety that the student does not notice.",
        "Fails in any case: a stop by the evaluator for safety.",
        "At least 80 % of the whole list is asked.",
        "At least 77 % is asked in section B.",
        "A passed retake is reported as 77 % at most.",
        "Time limit for the whole attempt: 37 min 30 s (25 min and extra time). "
        "What is done after it counts as not performed.",
        "Time limit for step 3, “Scrub the hub”: 1 min 30 s. Passing it is recorded and fails nothing. "
        "Extra time does not change it.",
        "Order (critical): step 1, “Clean hands” before step 3, “Scrub the hub”.",
        "Time between (recorded only): at least 5 s and at most 1 min from step 3, “Scrub the hub” to "
        "step 4, “State the rate”.",
        "Measured at step 2, “Count the breaths”: within 2 /min of the evaluator's own value.",
        "Timed at step 3, “Scrub the hub”: at least 15 s.",
        "Stated value “Rate” must be right. Its rounding is graded. "
        "It may be corrected until step 4, “State the rate”.",
        "Stated value “VTBI” must be right for step 4, “State the rate” to count. "
        "A number without a unit is accepted.",
        "Stated value “Time” is recorded and fails nothing.",
        "Prompts of the specific kind allowed: 0.",
        "Prompts allowed in all: 2.",
        "The student's identity must be confirmed.",
        CLOSING,
    ]


def test_the_smallest_rule_says_what_it_does_not_ask() -> None:
    rule = {"sections": [{"id": "a", "steps": ["a1"]}], "steps": {"a1": {"section": "a", "number": 1}}}
    assert rule_sentences(rule, {}) == [
        "No step is critical.",
        "A step is satisfied when it is marked performed, self-corrected or not applicable.",
        "No score is asked.",
        CLOSING,
    ]


def test_critical_steps_that_only_inform_and_a_list_of_all_steps() -> None:
    rule = RULE | {"critical_all": False, "score": {"kind": "all"}}
    said = rule_sentences(rule, {})
    assert said[0] == "Critical steps are recorded and fail nothing by themselves: step 1 and step 3."
    assert "Every step that is not optional must be satisfied." in said
