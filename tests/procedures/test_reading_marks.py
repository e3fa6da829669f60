"""Boxes and critical signs on one line."""

from __future__ import annotations

import pytest

from checkoffs.procedures.reading_marks import take_critical_signs, take_leading_boxes, take_trailing_boxes


@pytest.mark.parametrize(
    ("text", "kept", "boxes"),
    [
        ("Wash [GO] [NO GO]", "Wash", "[GO] [NO GO]"),
        ("Wash. S / U", "Wash.", "S / U"),
        ("Wash\tS", "Wash", "S"),
        ("Wash ____", "Wash", "____"),
        ("Wash S___ U___", "Wash", "S___ U___"),
        ("Wash  Yes  No  Comments:", "Wash", "Yes No Comments:"),
        ("Wash ☐", "Wash", "☐"),
        ("Say no", "Say no", None),
        ("Give vitamin K", "Give vitamin K", None),
        ("Check the pass", "Check the pass", None),
        ("[ ] [ ]", "[ ] [ ]", None),
        ("Wait (see note)", "Wait (see note)", None),
        ("Listen for comments", "Listen for comments", None),
    ],
)
def test_boxes_at_the_end(text: str, kept: str, boxes: str | None) -> None:
    assert take_trailing_boxes(text) == (kept, boxes)


@pytest.mark.parametrize(
    ("text", "kept", "boxes"),
    [
        ("[ ] Wash", "Wash", "[ ]"),
        ("___/___ 1. Wash", "1. Wash", "___/___"),
        ("☐ ☐ Wash", "Wash", "☐ ☐"),
        ("Wash", "Wash", None),
    ],
)
def test_boxes_at_the_front(text: str, kept: str, boxes: str | None) -> None:
    assert take_leading_boxes(text) == (kept, boxes)


@pytest.mark.parametrize(
    ("text", "bare", "kinds"),
    [
        ("Wash", "Wash", set()),
        ("*Wash", "Wash", {"star"}),
        ("Wash**.", "Wash.", {"star"}),
        ("**Wash**", "Wash", {"bold"}),
        ("Use **two** names", "Use two names", set()),
        ("Wash (critical) hands", "Wash hands", {"word"}),
        ("[C] Wash (C)", "Wash", {"word"}),
        ("(critical)", "(critical)", set()),
    ],
)
def test_critical_signs(text: str, bare: str, kinds: set[str]) -> None:
    found = take_critical_signs(text)
    assert (found.text, found.kinds) == (bare, kinds)


def test_a_sign_of_the_sheets_own_counts_only_when_declared() -> None:
    assert take_critical_signs("Wash #").text == "Wash #"
    assert take_critical_signs("Wash #", "#").kinds == {"star"}


@pytest.mark.parametrize(
    "text", ["S " * 40_000 + "z", "_" * 80_000, "*" * 80_000 + "x", "[ ] " * 30_000 + "z", "(critical " * 9_000]
)
def test_a_hostile_line_comes_to_an_end(text: str) -> None:
    """A backtracking pattern would run for hours on these; that it ends is the point, and nothing is made up."""
    assert len(take_critical_signs(take_trailing_boxes(take_leading_boxes(text)[0])[0]).text) <= len(text)
