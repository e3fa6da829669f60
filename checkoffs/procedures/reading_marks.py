"""Marks that ride on a line of a pasted checklist: boxes to tick, and signs that a step is critical.

Pure text in, pure text out. Boxes belong to the paper sheet, not to the step, so they are taken off and
handed back for the reader to see; a critical sign becomes a fact about the step.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

_WORD = (
    r"(?:(?i:no[ -]?go|go|not[ ]met|met|unsat(?:isfactory)?|sat(?:isfactory)?|not[ ]done|done|pass|fail|yes|no"
    r"|n/a)|NA|NI|S|U|Y|N|P|F)"
)
_TICK = r"[☐☑☒□▢◻❏❑⬜○◯]"
_BOX = rf"(?:\[\s*(?:{_WORD}|[xX✓✔])?\s*\]|\(\s*(?:{_WORD})?\s*\)|_{{2,}}|{_TICK})"
_COLUMN = re.compile(r"\s(?i:comments?|remarks|initials)\s*:?$")
_LAST_BOX = re.compile(rf"{_BOX}$")
_LAST_WORD = re.compile(rf"(?<![\w/-]){_WORD}$")
_MOST_TOKENS = 16
_LONGEST_TOKEN = 20
_MOST_SIGNS = 6
_LEADING = re.compile(rf"^(?:(?:\[\s*[xX✓✔]?\s*\]|\(\s*\)|_{{2,}}+|{_TICK}|[✓✔])[\s/]*+)++(?=\S)")

_NAMED = r"critical(?:\s+(?:step|element|action|point|item|behaviou?r))?"
_LETTERS = r"\s*(?:C|CE|CS)\s*"
_LEAD_WORD = re.compile(
    rf"^(?:[\[(](?:{_LETTERS}|\s*(?i:{_NAMED})\s*)[\])]\s*[:\-–—]?\s*"
    rf"|(?i:{_NAMED})\s*[:–—]\s*|(?i:{_NAMED})\s+-\s+|CRITICAL\s+(?=[A-Z]))"
)
_INSIDE = re.compile(rf"\s*[\[(]\s*\*{{0,3}}(?i:{_NAMED})!?\*{{0,3}}\s*[\])]")
_TAIL_WORD = re.compile(
    rf"(?:\s*[\[(]{_LETTERS}[\])](?P<stop>[.;:]?)|\s*[-–—]\s*(?i:{_NAMED})[.!]?|\s+CRITICAL(?: STEP)?!?)$"
)
_BOLD = re.compile(r"^(\*\*\*|\*\*|__|\*)(?=\S)((?:(?!\1).)+?)(?<=\S)\1([.:;]?)$")
_INNER_BOLD = re.compile(r"(\*\*|__)(?=\S)((?:(?!\1).)+?)(?<=\S)\1")


@dataclass
class Signs:
    """What was found on a step: its bare text, and which kinds of critical sign it carried.

    kinds: "word" (written out), "star" (a sign beside the text), "before" (a sign before the number),
    "bold" (the whole text emphasised). The last two are decoration when every step has them.
    """

    text: str
    kinds: set[str] = field(default_factory=set)


def take_trailing_boxes(text: str) -> tuple[str, str | None]:
    """Split boxes to tick off the end of a line; the second part is None when there are none.

    Boxes are `[GO]`, `( )`, `___`, `☐`; words such as `S / U` count beside a box, in twos, or in a table cell of
    their own.
    """
    column = _COLUMN.search(text[-_LONGEST_TOKEN:])
    rest = text[: -len(column.group())] if column else text
    cut, boxes, words = len(rest), 0, 0
    for _ in range(_MOST_TOKENS):
        before = rest[:cut].rstrip(" \t/|:")
        start = _token_start(before)
        if start is None:
            break
        is_box = _LAST_BOX.search(before[start:]) is not None
        boxes, words, cut = boxes + is_box, words + (not is_box), start
    kept = rest[:cut].rstrip(" \t|")
    in_cell = "\t" in rest[len(kept) : cut + 1]
    if not kept or not (boxes or words >= 2 or (words and in_cell)):
        return text, None
    return kept, " ".join(text[len(kept) :].replace("|", " ").split())


def _token_start(text: str) -> int | None:
    """Where the last box or mark word begins, if the text ends in one that stands by itself."""
    if text.endswith("__"):
        return len(text.rstrip("_"))
    offset = max(0, len(text) - _LONGEST_TOKEN)
    tail = text[offset:]
    found = _LAST_BOX.search(tail) or _LAST_WORD.search(tail)
    if found is None:
        return None
    start = offset + found.start()
    return start if start == 0 or text[start - 1] in " \t.;:,)]*/|" or text[start] in "[(☐☑☒□▢◻❏❑⬜○◯" else None


def take_leading_boxes(text: str) -> tuple[str, str | None]:
    """Split boxes to tick off the front of a line; the second part is None when there are none."""
    found = _LEADING.match(text)
    return (text[found.end() :], " ".join(found.group().split())) if found else (text, None)


def take_critical_signs(text: str, more_signs: str = "") -> Signs:
    """Take every critical sign off a step's text.

    more_signs: single characters that the sheet's own legend declares, e.g. "#" for "# = critical step".
    """
    sign = rf"(?:\*{{1,3}}|[†‡★⚠{re.escape(more_signs)}]\ufe0f?)"
    lead, tail = re.compile(rf"^{sign}\s*(?=\S)"), re.compile(rf"\s*{sign}(?P<stop>[.;:]?)$")
    found = Signs(text.strip())
    for _ in range(_MOST_SIGNS):
        before = found.text
        if not _BOLD.match(found.text):
            found.text = _INNER_BOLD.sub(r"\2", found.text)
        if whole := _BOLD.match(found.text):
            found.text = whole.group(2).strip() + whole.group(3)
            found.kinds.add("bold")
        for pattern, kind in (
            (_LEAD_WORD, "word"),
            (_INSIDE, "word"),
            (_TAIL_WORD, "word"),
            (lead, "star"),
            (tail, "star"),
        ):
            _take(found, pattern, kind)
        if found.text == before:
            break
    found.text = re.sub(r"\s{2,}", " ", found.text).strip()
    return found


def _take(found: Signs, pattern: re.Pattern[str], kind: str) -> None:
    hit = pattern.search(found.text)
    if not hit:
        return
    rest = found.text[: hit.start()] + (hit.groupdict().get("stop") or "") + found.text[hit.end() :]
    if re.search(r"\w", rest):
        found.text = rest.strip()
        found.kinds.add(kind)
