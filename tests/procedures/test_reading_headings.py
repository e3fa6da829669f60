"""Lines that are no step."""

from __future__ import annotations

import pytest

from checkoffs.procedures.reading_headings import (
    comment_of,
    is_furniture,
    legend_of,
    likely_heading,
    plain_heading,
    sure_heading,
    title_of,
)
from checkoffs.procedures.reading_lines import Line


def line(text: str, gap: bool = False) -> Line:
    return Line(1, text, text, 0, gap)


@pytest.mark.parametrize(
    ("text", "title", "style"),
    [
        ("# Hand washing", "Hand washing", "h1"),
        ("## 2. Closing ##", "Closing", "h2"),
        ("Section A: Before", "Before", "label"),
        ("PART II - After", "After", "label"),
        ("Phase 3", "Phase 3", "label"),
        ("**Before:**", "Before", "bold"),
    ],
)
def test_headings_that_say_so(text: str, title: str, style: str) -> None:
    heading = sure_heading(text)
    assert heading is not None
    assert (heading.title, heading.style) == (title, style)


@pytest.mark.parametrize("text", ["Section the tape", "Part the skin folds", "**1. Wash**", "Wash", "#1. Wash"])
def test_steps_that_only_look_like_headings(text: str) -> None:
    assert sure_heading(text) is None


@pytest.mark.parametrize(
    ("text", "before", "marked_after", "style"),
    [
        ("Preparation:", "1. Wash.", True, "colon"),
        ("PREPARATION", "", True, "caps"),
        ("Closing steps", "4. Chart the dose.", True, "plain"),
        ("Preparation:", "1. Wash.", False, None),
        ("least 15 seconds:", "1. Rub for at", True, None),
        ("5 minutes", "3. Give over", True, None),
        ("MAR and chart", "2. Hold the whole order, word by word and number by number, against the", True, None),
    ],
)
def test_headings_by_look_and_place(text: str, before: str, marked_after: bool, style: str | None) -> None:
    heading = likely_heading(line(text), before=before, widest=72, marked_after=marked_after)
    assert (heading.style if heading else None) == style


def test_comments_titles_and_headings_are_told_apart() -> None:
    assert comment_of(line("# how obtained: typed")) == ("how obtained", "typed")
    assert comment_of(line("# Title: X")) == ("title", "X")
    assert comment_of(line("# Before you enter: wash")) is None
    assert title_of(line("Skill: Eye drops")) == "Eye drops"
    assert title_of(line("Skill: ________")) is None


@pytest.mark.parametrize(
    "text", ["Page 2 of 3", "-----", "Student: ____", "Step  S  U  Comments", "Evaluator's signature:", "___"]
)
def test_parts_of_the_paper(text: str) -> None:
    assert is_furniture(text)


@pytest.mark.parametrize("text", ["Wash hands", "Date the bag. Initial it", "Done", "Pass the syringe"])
def test_steps_are_no_part_of_the_paper(text: str) -> None:
    assert not is_furniture(text)


def test_a_legend_names_its_sign() -> None:
    assert legend_of("* = critical step") == "*"
    assert legend_of("Steps marked with # are critical") == "#"
    assert legend_of("Critical steps are in bold.") == ""
    assert legend_of("Report a critical value at once") is None


def test_in_a_list_without_numbers_only_capitals_and_colons_are_headings() -> None:
    assert plain_heading("FINISHING").style == "caps"
    assert plain_heading("Afterwards:").style == "colon"
    assert plain_heading("Lower the bed") is None
