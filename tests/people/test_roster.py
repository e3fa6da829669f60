"""Reading rosters: encodings, delimiters, headers as offices write them, and what is refused.

Outside checks: RFC 4180 (quoted cells with commas, quotes and line ends); RFC 3629 and the Unicode byte-order marks;
OWASP's list of signs that start a formula in a cell (= + - @ tab, carriage return).
"""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from checkoffs.people.roster import MOST_BYTES, MOST_ROWS, RosterError, decode, read

PLAIN = "full_name,email,number,role,cohort\nMarit Adeyemi,m@harrowmere.example,H-1,student,26-A\n"


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_unicode_files_are_read(encoding: str) -> None:
    """With and without the mark that spreadsheets write."""
    text = decode("full_name\nInês Rosado\n".encode(encoding))
    assert read(text).lines[0].cells["full_name"] == "Inês Rosado"


@pytest.mark.parametrize(
    ("data", "code"),
    [
        ("full_name\nInês\n".encode("latin-1"), "encoding"),
        (b"PK\x03\x04rest of a workbook", "workbook"),
        (b"full_name\nA\x00B\n", "binary"),
        (b"x" * (MOST_BYTES + 1), "too_large"),
    ],
)
def test_other_files_are_refused_with_what_to_do(data: bytes, code: str) -> None:
    """The message names the way out; a wrong encoding names its line."""
    with pytest.raises(RosterError) as caught:
        decode(data)
    assert caught.value.code == code
    if code == "encoding":
        assert "Line 2" in caught.value.message


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("", "empty"),
        ("  \n\n", "empty"),
        ("full_name,cohort\n", "no_rows"),
        ("email,cohort\na@b.example,26-A\n", "columns"),
        ('full_name\n"never closed\n', "broken"),
        ("full_name,Password\nA B,secret\n", "password"),
        ("full_name,initial passwd\nA B,secret\n", "password"),
        ("full_name\n" + "A B\n" * (MOST_ROWS + 1), "too_many"),
    ],
)
def test_lists_that_are_no_roster(text: str, code: str) -> None:
    """Each refusal has its code."""
    with pytest.raises(RosterError) as caught:
        read(text)
    assert caught.value.code == code


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_delimiters(delimiter: str) -> None:
    """As spreadsheets of different countries save."""
    sheet = read(PLAIN.replace(",", delimiter))
    assert sheet.lines[0].cells == {
        "full_name": "Marit Adeyemi",
        "email": "m@harrowmere.example",
        "number": "H-1",
        "role": "student",
        "cohort": "26-A",
    }


def test_headers_are_matched_loosely() -> None:
    """Names in two columns, blanks, capitals and signs in the headers; unknown columns are told, not used."""
    text = "Last Name,First  name,E-Mail Address,Student ID#,Section,Shoe size\nAdeyemi,Marit,m@x.example,7,26-A,39\n"
    sheet = read(text)
    assert sheet.unused == ("Shoe size",)
    assert sheet.lines[0].cells == {
        "full_name": "Marit Adeyemi",
        "email": "m@x.example",
        "number": "7",
        "cohort": "26-A",
    }


def test_lines_are_numbered_as_in_the_file() -> None:
    """Blank lines and cells with line ends count, so that the row can be found."""
    sheet = read('full_name,number\n\n"Marit\nAdeyemi",1\nPiers Aldous,2\n')
    assert [(line.number, line.cells["full_name"]) for line in sheet.lines] == [
        (4, "Marit Adeyemi"),
        (5, "Piers Aldous"),
    ]


@pytest.mark.parametrize("cell", ["=1+1", "+SUM(A1)", "-2", "@cmd", "=HYPERLINK(A1)"])
def test_formulas_are_errors_of_their_row(cell: str) -> None:
    """They are not silently changed: the row says so."""
    line = read(f"full_name,number\nMarit Adeyemi,{cell}\n").lines[0]
    assert "formula" in line.errors[0]


def test_a_cell_without_a_column_is_an_error() -> None:
    """A comma inside a name shifts everything after it."""
    assert read("full_name,number\nAdeyemi, Marit,7\n").lines[0].errors


_cell = st.text(st.characters(codec="utf-8", exclude_categories=("Cs", "Cc")), max_size=30)


@given(st.lists(st.tuples(_cell, _cell), min_size=1, max_size=8))
def test_what_the_csv_module_writes_is_read_back(rows: list[tuple[str, str]]) -> None:
    """Whatever people's names hold, cells come back, apart from blanks at the ends and blank rows."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(["full_name", "number"])
    writer.writerows(rows)
    wanted = [(" ".join(a.split()), " ".join(b.split())) for a, b in rows if a.strip() or b.strip()]
    if not wanted:
        return
    lines = read(out.getvalue()).lines
    assert [(line.cells["full_name"], line.cells["number"]) for line in lines] == wanted
