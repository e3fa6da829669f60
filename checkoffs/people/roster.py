"""Reading a roster file: bytes to text, text to rows under known columns. Pure; knows no person and no table."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import dataclass

MOST_BYTES = 1_000_000
MOST_ROWS = 2_000
MOST_LETTERS = 200

# column -> the header words people use for it, without blanks and signs
HEADERS: dict[str, tuple[str, ...]] = {
    "full_name": ("fullname", "name", "studentname", "displayname", "person"),
    "given_name": ("givenname", "firstname", "forename", "given", "first"),
    "family_name": ("familyname", "lastname", "surname", "family", "last"),
    "preferred_name": ("preferredname", "preferredgivenname", "calledname", "called", "knownas", "nickname"),
    "credentials": ("credentials", "letters", "postnominals", "qualification"),
    "email": ("email", "emailaddress", "mail", "collegeemail", "schoolemail"),
    "username": ("username", "userid", "login", "loginid", "user"),
    "number": ("number", "studentnumber", "studentid", "studentno", "id", "idnumber", "identifier", "staffnumber"),
    "role": ("role", "roles", "type", "persontype"),
    "cohort": ("cohort", "class", "group", "section", "cohortname"),
    "starts": ("starts", "start", "startdate", "begin", "begindate", "from", "begins"),
    "ends": ("ends", "end", "enddate", "until", "to", "leaves"),
}
_WORDS = {word: column for column, words in HEADERS.items() for word in words}
_SECRET = re.compile(r"pass(word|wd|phrase|code)?$|^pwd|^pin$|secret")
_FORMULA = ("=", "+", "-", "@", "\t", "\r")


class RosterError(Exception):
    """A file that cannot be read at all; ``code`` says why, the message what to do."""

    def __init__(self, code: str, message: str) -> None:
        super().__init__(message)
        self.code = code
        self.message = message


@dataclass(frozen=True)
class Line:
    """One row of the file: its line in the file, its cells by column, what is wrong with the cells."""

    number: int
    cells: dict[str, str]
    errors: tuple[str, ...] = ()


@dataclass(frozen=True)
class Sheet:
    """The file as understood: which header was taken for what, which were not used, and the rows."""

    columns: dict[str, str]
    unused: tuple[str, ...]
    lines: tuple[Line, ...]


def decode(data: bytes) -> str:
    """Text of a file: UTF-8, with or without its mark, or marked UTF-16. Raises RosterError for anything else."""
    if len(data) > MOST_BYTES:
        raise RosterError(
            "too_large", "The file is larger than 1 MB. Split it, or remove columns that are not needed."
        )
    if data[:2] == b"PK":
        raise RosterError(
            "workbook", "This is a workbook. In the spreadsheet choose Save as, CSV UTF-8, and send that."
        )
    encoding = "utf-16" if data[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig"
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError as error:
        where = data[: error.start].count(b"\n") + 1
        raise RosterError(
            "encoding",
            f"Line {where} has letters that are not UTF-8. Save the file as CSV UTF-8 and send it again.",
        ) from error
    if "\0" in text:
        raise RosterError("binary", "This is not a text file. Save the list as CSV UTF-8 and send it again.")
    return text


def read(text: str) -> Sheet:
    """Rows of a roster with comma, semicolon or tab between cells. Raises RosterError when there is no table."""
    text = text.lstrip("\ufeff")
    if len(text) > MOST_BYTES:
        raise RosterError("too_large", "The list is longer than 1 MB. Send it in parts.")
    head = next((line for line in text.splitlines() if line.strip()), "")
    if not head:
        raise RosterError("empty", "There is nothing in the list. The first line names the columns.")
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=max(",;\t", key=head.count), strict=True)
    columns: dict[str, str] | None = None
    unused: list[str] = []
    places: dict[int, str] = {}
    lines: list[Line] = []
    width = 0
    try:
        for row in reader:
            if not any(cell.strip() for cell in row):
                continue
            if columns is None:
                columns, unused, places = _match(row)
                width = len(row)
                continue
            if len(lines) == MOST_ROWS:
                raise RosterError("too_many", f"More than {MOST_ROWS} rows. Send the list in parts.")
            lines.append(_line(reader.line_num, row, places, width))
    except csv.Error as error:
        raise RosterError(
            "broken", f"Line {reader.line_num} is not CSV: {error}. Check its quotation marks."
        ) from error
    if not lines:
        raise RosterError("no_rows", "The list has column names but no rows below them.")
    return Sheet(columns or {}, tuple(unused), tuple(lines))


def _match(head: list[str]) -> tuple[dict[str, str], list[str], dict[int, str]]:
    columns: dict[str, str] = {}
    unused: list[str] = []
    places: dict[int, str] = {}
    for place, name in enumerate(head):
        word = re.sub(r"[^a-z0-9]", "", name.lower())
        if _SECRET.search(word):
            raise RosterError(
                "password",
                "The list has a column of passwords. Remove it: people choose their own by a one-time link.",
            )
        column = _WORDS.get(word)
        if column is None or column in columns:
            unused.append(name.strip())
            continue
        columns[column] = name.strip()
        places[place] = column
    if "full_name" not in columns and not {"given_name", "family_name"} <= columns.keys():
        raise RosterError(
            "columns", "No column holds names. The first line must name the columns, among them full_name."
        )
    return columns, unused, places


def _line(number: int, row: list[str], places: dict[int, str], width: int) -> Line:
    cells = {column: " ".join(row[place].split()) if place < len(row) else "" for place, column in places.items()}
    errors = []
    for column, cell in cells.items():
        if cell.startswith(_FORMULA):
            errors.append(f"{column}: “{cell[:30]}” begins like a formula.")
        if len(cell) > MOST_LETTERS:
            errors.append(f"{column}: longer than {MOST_LETTERS} letters.")
    if any(cell.strip() for cell in row[width:]):
        errors.append("More cells than the first line has names; put text with a comma in quotation marks.")
    given, family = cells.pop("given_name", ""), cells.pop("family_name", "")
    if not cells.get("full_name"):
        cells["full_name"] = f"{given} {family}".strip()
    return Line(number, cells, tuple(errors))
