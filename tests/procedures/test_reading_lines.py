"""Lines and what they begin with."""

from __future__ import annotations

import pytest

from checkoffs.procedures.reading_lines import lines_of, marker_of, roman_value


@pytest.mark.parametrize(
    ("text", "kind", "value", "rest"),
    [
        ("1. Wash", "number", 1, "Wash"),
        ("12) Wash", "number", 12, "Wash"),
        ("(3) Wash", "number", 3, "Wash"),
        ("4.Wash", "number", 4, "Wash"),
        ("5 - Wash", "number", 5, "Wash"),
        ("6\tWash", "number", 6, "Wash"),
        ("Step 7: Wash", "number", 7, "Wash"),
        ("8.) Wash", "number", 8, "Wash"),
        ("a. Wash", "letter", 1, "Wash"),
        ("(b) Wash", "letter", 2, "Wash"),
        ("c)wash", "letter", 3, "wash"),
        ("iv. Wash", "roman", 4, "Wash"),
        ("XII) Wash", "roman", 12, "Wash"),
        ("2.3 Wash", "deep", 3, "Wash"),
        ("1.2.4) Wash", "deep", 4, "Wash"),
        ("- Wash", "bullet", 0, "Wash"),
        ("•Wash", "bullet", 0, "Wash"),
        ("o Wash", "bullet", 0, "Wash"),
        ("– 9. Wash", "number", 9, "Wash"),
        ("*2. Wash", "number", 2, "Wash"),
    ],
)
def test_what_a_line_begins_with(text: str, kind: str, value: int, rest: str) -> None:
    marker = marker_of(text)
    assert marker is not None
    assert (marker.kind, marker.value, marker.rest) == (kind, value, rest)


@pytest.mark.parametrize(
    "text", ["Wash", "0.9 % sodium chloride", "2.5mL", "3-5 mL", "e.g. soap", "0. nothing", "(see note)"]
)
def test_running_text_begins_with_nothing(text: str) -> None:
    assert marker_of(text) is None


def test_a_bare_number_is_weak() -> None:
    assert marker_of("2 Nurses check").weak
    assert not marker_of("2. Nurses check").weak


@pytest.mark.parametrize(
    ("text", "value"), [("i", 1), ("iv", 4), ("ix", 9), ("xiv", 14), ("xxxix", 39), ("iiii", 0), ("vx", 0)]
)
def test_roman_numbers(text: str, value: int) -> None:
    assert roman_value(text) == value


def test_lines_know_their_place_indent_and_gap() -> None:
    lines = lines_of("\ufeffone\r\n\r\n\t two\x0bthree\u00a0four\n> 5")
    assert [(line.number, line.text, line.indent, line.gap) for line in lines] == [
        (1, "one", 0, False),
        (3, "two", 5, True),
        (4, "three four", 0, False),
        (5, "5", 0, False),
    ]


def test_a_table_row_becomes_cells_and_keeps_its_words_as_pasted() -> None:
    (line,) = lines_of("| 1 | Wash |  S | U |")
    assert (line.text, line.raw) == ("1\tWash\tS\tU", "| 1 | Wash |  S | U |")
