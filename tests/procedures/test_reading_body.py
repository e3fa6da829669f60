"""How lines nest and join (reading_outline), and how the walk sorts them (reading_body)."""

from __future__ import annotations

import pytest

from checkoffs.procedures.reading import read
from checkoffs.procedures.reading_body import read_body
from checkoffs.procedures.reading_lines import lines_of


def shape(text: str) -> list[tuple[str, list[str]]]:
    return [(step.text, list(step.subpoints)) for section in read(text).sections for step in section.steps]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("1. a\n  1. x\n  2. y\n2. b", [("a", ["x", "y"]), ("b", [])]),
        ("1. a\n1) x\n2) y\n2. b", [("a", ["x", "y"]), ("b", [])]),
        ("1. a\n2) b\n3. c", [("a", []), ("b", []), ("c", [])]),
        ("1. a\n\t2. b\n 3. c", [("a", []), ("b", []), ("c", [])]),
        ("1. a\n3. c\n4. d", [("a", []), ("c", []), ("d", [])]),
        ("1. a\n- x\n  - y\n- z\n2. b", [("a", ["x", "y", "z"]), ("b", [])]),
        ("- a\n  - x\n- b", [("a", ["x"]), ("b", [])]),
        ("- a\n\t• x\n\t\to y\n- b", [("a", ["x", "y"]), ("b", [])]),
        ("1. Do:\n     this\n     that\n2. b", [("Do:", ["this", "that"]), ("b", [])]),
        ("1. give 5 mL over\n10. minutes\n2. b", [("give 5 mL over", []), ("minutes", []), ("b", [])]),
        ("1. (as in\n4) above\n2. b", [("(as in 4) above", []), ("b", [])]),
        ("1. needle-\nfree port\n2. b", [("needle-free port", []), ("b", [])]),
        ("1. a\n\nrunning on\n2. b", [("a running on", []), ("b", [])]),
        ("1. Give 5 mL over\n10. minutes\n2. B", [("Give 5 mL over 10. minutes", []), ("B", [])]),
        ("h. x\ni. y", [("x", []), ("y", [])]),
    ],
)
def test_nesting_and_joining(text: str, expected: list[tuple[str, list[str]]]) -> None:
    assert shape(text) == expected


def test_the_walk_hands_back_what_it_left() -> None:
    body = read_body(lines_of("# source: own\nTitle: Eye drops\n1. Wash [ ]\n\nA closing remark.\n"))
    assert body.title == "Eye drops"
    assert body.unread == [(1, "# source: own"), (3, "[ ]"), (5, "A closing remark.")]


@pytest.mark.parametrize(
    "text",
    [
        "".join(" " * depth + "- x\n" for depth in range(1500)),
        "1. x" + "\t" * 20_000 + "z",
        "1. " + "*" * 20_000 + "x",
        "1. " + " ".join(f"{number}. Wash" for number in range(2, 900)),
        "A B\n\n" * 4_000,
        "critical " + "*" * 20_000,
    ],
)
def test_a_hostile_text_comes_to_an_end(text: str) -> None:
    """A backtracking or quadratic reader would run for hours on these; that it ends is the point."""
    assert set(read(text).as_dict()) == {"title", "sections", "unread"}
