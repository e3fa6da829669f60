"""Sentences: every reason a vector gives can be said, and says its numbers with their units (tables: ``reasons``)."""

from __future__ import annotations

from typing import Any

import pytest

from checkoffs.scoring.errors import ScoringError
from checkoffs.scoring.reasons import SENTENCES
from checkoffs.scoring.sentences import clock_time, length, letters, sentence
from tests.scoring.test_vectors import cases, decided

TEXTS = {"a1": "Clean hands", "a2": "Draw the curtain", "b1": "Check the wrist band", "b2": "Clear away"}


def said() -> dict[str, tuple[str, str]]:
    """Every sentence of every vector, with its code, by vector and place."""
    found = {}
    for param in cases():
        case: dict[str, Any] = param.values[0]
        try:
            decision = decided(case)
        except ScoringError:
            continue
        for i, reason in enumerate([*decision["reasons"], *decision["met"]]):
            code = "step_time_unclear" if reason["code"] == "time_unclear" and "step" in reason else reason["code"]
            found[f"{case['name']} {i}"] = (code, sentence(reason, case["rule"], TEXTS))
    return found


def test_every_reason_of_every_vector_can_be_said_and_every_sentence_is_used() -> None:
    sentences = said()
    for where, (_, text) in sentences.items():
        assert text.endswith((".", "”")), where
        assert "{" not in text, where
        assert "None" not in text, where
        assert "  " not in text, where
    assert {code for code, _ in sentences.values()} == set(SENTENCES)


@pytest.mark.parametrize(
    ("where", "text"),
    [
        (
            "critical step not performed 0",
            "Critical step not performed: step 3, “Check the wrist band” at 0:30. "
            "The wrong patient would receive the drug.",
        ),
        ("one millisecond over fails 0", "Time limit passed: the whole attempt took 1 min 0.001 s of 1 min."),
        ("a critical value wrong 0", "Stated value wrong: “Rate”, 41.7 mL/h."),
        ("no unit said 0", "Stated value without a unit: “Rate”, 13.1 (no unit said)."),
        (
            "a broken pair overruled, both kept 1",
            "Order kept: step 1, “Clean hands”, then step 3, “Check the wrist band”. "
            "The evaluator settled it as kept: “tapped in the wrong order”. The log says: broken.",
        ),
        (
            "moderation settles it as not performed 0",
            "Critical step not performed: step 3, “Check the wrist band” at 0:30. "
            "The wrong patient would receive the drug. "
            "The instructor settled it as not performed: “recording at 00:33”. The log says: performed.",
        ),
        ("a cut per section 1", "Score not reached in section B: 50 %; 77 % is asked."),
        ("a specific prompt where none is allowed 0", "Too many prompts of the specific kind: 1; 0 allowed."),
    ],
)
def test_a_sentence_says_reason_step_number_and_time(where: str, text: str) -> None:
    assert said()[where][1] == text


def test_a_text_with_braces_stays_as_it_was_written() -> None:
    rule = {"sections": [{"id": "a", "steps": ["a1"]}], "steps": {"a1": {"section": "a", "number": 1}}}
    reason = {"code": "step_open", "step": "a1"}
    assert sentence(reason, rule, {"a1": "Say {mark}"}) == "Not marked: step 1, “Say {mark}”."


def test_lengths_keep_every_millisecond_and_moments_are_cut() -> None:
    assert [length(ms) for ms in (0, 999, 60_000, 61_500, -10_000)] == [
        "0 s",
        "0.999 s",
        "1 min",
        "1 min 1.5 s",
        "−10 s",
    ]
    assert length(None) == "an unknown time"
    assert [clock_time(ms) for ms in (0, 59_999, 60_000, 754_321)] == ["0:00", "0:59", "1:00", "12:34"]
    assert [letters(n) for n in (0, 25, 26, 51, 52)] == ["A", "Z", "AA", "AZ", "BA"]
