"""Cells that a spreadsheet shows as text: nothing a person typed may run there as a formula."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n")


def safe_cell(value: object) -> str:
    """Text of a cell; an apostrophe goes before anything a spreadsheet would calculate."""
    text = "" if value is None else str(value)
    return f"'{text}" if text.startswith(_STARTS) else text


def csv_text(head: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """A CSV document (RFC 4180, with the mark by which spreadsheets know UTF-8)."""
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow(head)
    writer.writerows([safe_cell(cell) for cell in row] for row in rows)
    return "\ufeff" + out.getvalue()
