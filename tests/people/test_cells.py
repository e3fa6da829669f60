"""Cells are safe for spreadsheets. Source: OWASP, CSV injection: = + - @, tab and line ends must not begin a cell."""

from __future__ import annotations

import csv
import io

import pytest

from checkoffs.people.cells import csv_text, safe_cell


@pytest.mark.parametrize("text", ["=1", "+1", "-1", "@x", "\t=1", "\r=1"])
def test_formula_starts_are_quoted(text: str) -> None:
    """The apostrophe comes first."""
    assert safe_cell(text) == f"'{text}"


def test_document_is_read_by_the_standard_reader() -> None:
    """The mark first; commas, quotes and line ends survive."""
    text = csv_text(["a", "b"], [("x,y", 'say "so"'), (None, "two\nlines")])
    assert text[0] == "\ufeff"
    assert list(csv.reader(io.StringIO(text[1:], newline=""))) == [
        ["a", "b"],
        ["x,y", 'say "so"'],
        ["", "two\nlines"],
    ]
