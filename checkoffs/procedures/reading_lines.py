"""Lines of a pasted checklist and the numbers, letters and bullets they begin with; no judgement of the whole."""

from __future__ import annotations

import re
from dataclasses import dataclass

_BREAKS = re.compile(r"\r\n|[\r\n\v\f\x85\u2028\u2029]")
_INVISIBLE = dict.fromkeys(map(ord, "\ufeff\u200b\u200c\u200d\u2060\u00ad"), None)
_SPACES = dict.fromkeys(map(ord, "\u00a0\u2002\u2003\u2007\u2009\u202f\u3000"), " ")
_ESCAPED = re.compile(r"\\([.*_#()\[\]\-+>|])")
_TAB = 4
_STOP = r"(?P<stop>\.\)|[.):\]])"
_DEEP = re.compile(r"^\(?(?P<path>[1-9]\d?(?:\.[1-9]\d?){1,3})(?P<stop>[.):]?)\)?\s+(?=\S)")
_NUMBER = re.compile(
    rf"^(?:step\s+)?[#(]?(?P<value>\d{{1,3}})(?:{_STOP}(?!\d)|(?P<dash>\s*[-–—])(?=\s+\D)|(?P<tab>\s*\t))\s*(?=\S)",
    re.I,
)
_STEP_WORD = re.compile(r"^step\s+(?P<value>\d{1,3})\s+(?=\S)", re.I)
_BARE = re.compile(r"^(?P<value>\d{1,3})\s+(?=[A-Z\"“(*\[])")
_LETTER = re.compile(r"^\(?(?P<letter>[A-Za-z])(?P<stop>\.\)|[.)])(?:\s+(?=\S)|(?<=^[a-z]\))(?=\w))")
_ROMAN = re.compile(r"^\(?(?P<roman>[ivx]{2,6}|[IVX]{2,6})(?P<stop>\.\)|[.)])\s+(?=\S)")
_BULLET = re.compile(
    r"^(?:(?P<mark>[-–—−*+])(?:\s+|(?=[A-Z]))|(?P<sign>[•·●◦▪▫■‣⁃∙►▸➢➤→\uf0b7\uf0a7\uf0d8\uf0fc])\s*"
    r"|(?P<word>[o§])\s+|(?P<font>[vüØŸ])\s*\t\s*)(?=\S)"
)
_ROMAN_VALUE = {"i": 1, "v": 5, "x": 10}


@dataclass(frozen=True)
class Line:
    """One line as pasted. `indent` counts columns (a tab reaches the next fourth); `gap`: a blank line before it."""

    number: int
    raw: str
    text: str
    indent: int
    gap: bool


@dataclass(frozen=True)
class Marker:
    """What a line begins with.

    kind: "deep" (1.1), "number", "letter", "roman", "bullet"; value counts from 1 (bullets: 0); style tells apart
    "1." from "1)" and "a." from "A."; `starred`: a critical sign stood before it; `weak`: a number without a stop.
    """

    kind: str
    value: int
    style: str
    rest: str
    path: tuple[int, ...] = ()
    starred: bool = False
    weak: bool = False
    other: tuple[str, int] | None = None


def lines_of(text: str) -> list[Line]:
    """Cut pasted text into lines without the blank ones; invisible characters go, table cells become tabs."""
    lines: list[Line] = []
    gap = False
    for number, piece in enumerate(_BREAKS.split(text.translate(_INVISIBLE).translate(_SPACES)), start=1):
        raw = re.sub(r"^(?:>\s?)+", "", piece).rstrip()
        if not raw.strip():
            gap = True
            continue
        body = _ESCAPED.sub(r"\1", _cells(raw))
        lines.append(Line(number, piece.strip(), _narrowed(body.strip()), _indent(body), gap))
        gap = False
    return lines


def marker_of(text: str) -> Marker | None:
    """Read the number, letter or bullet a line begins with; None when it begins with none."""
    starred = re.match(r"^(?:\*{1,3}|[†‡★])\s*(?=[(#]?\w{1,6}[.):]|\d)", text)
    if starred and (inner := _enumerated(text[starred.end() :])):
        rest = inner.rest
        closing = re.match(r"^\*{2,3}$", starred.group().strip())
        if closing and not rest.endswith(closing.group()):
            rest = re.sub(r"^\*\*\s*", "", rest)
        return _with(inner, rest=rest, starred=True)
    if direct := _enumerated(text):
        return direct
    bullet = _BULLET.match(text)
    if not bullet:
        return None
    rest, sign = text[bullet.end() :], next(group for group in bullet.groups() if group)
    if (inner := _enumerated(rest)) and not inner.weak:
        return inner
    return Marker("bullet", 0, f"bullet{sign}", rest)


def _with(marker: Marker, *, rest: str, starred: bool) -> Marker:
    return Marker(marker.kind, marker.value, marker.style, rest, marker.path, starred, marker.weak, marker.other)


def _enumerated(text: str) -> Marker | None:
    if hit := _DEEP.match(text):
        path = tuple(int(part) for part in hit["path"].split("."))
        return Marker("deep", path[-1], f"deep{len(path)}", text[hit.end() :], path)
    if hit := _NUMBER.match(text):
        stop = hit["stop"] or ("-" if hit["dash"] else "tab")
        return _number(hit, text, stop) if int(hit["value"]) else None
    if hit := _STEP_WORD.match(text):
        return _number(hit, text, "step")
    if hit := _ROMAN.match(text):
        value = roman_value(hit["roman"].lower())
        case = "upper" if hit["roman"].isupper() else "lower"
        return Marker("roman", value, f"roman{case}{hit['stop']}", text[hit.end() :]) if value else None
    if hit := _LETTER.match(text):
        return _letter(hit, text)
    if (hit := _BARE.match(text)) and int(hit["value"]):
        return Marker("number", int(hit["value"]), "numberbare", text[hit.end() :], weak=True)
    return None


def _number(hit: re.Match[str], text: str, stop: str) -> Marker:
    bracket = "(" if text.startswith("(") else ""
    return Marker("number", int(hit["value"]), f"number{bracket}{stop}", text[hit.end() :])


def _letter(hit: re.Match[str], text: str) -> Marker:
    letter = hit["letter"]
    case = "upper" if letter.isupper() else "lower"
    roman = roman_value(letter.lower())
    return Marker(
        "letter",
        ord(letter.lower()) - ord("a") + 1,
        f"letter{case}{hit['stop']}",
        text[hit.end() :],
        other=(f"roman{case}{hit['stop']}", roman) if roman else None,
    )


def roman_value(text: str) -> int:
    """Value of a small roman number in lower case up to xxxix; 0 when it is none."""
    if not re.fullmatch(r"x{0,3}(?:ix|iv|v?i{0,3})", text):
        return 0
    values = [_ROMAN_VALUE[sign] for sign in text]
    return sum(-value if value < after else value for value, after in zip(values, [*values[1:], 0], strict=True))


def _cells(raw: str) -> str:
    """A table row `| 1 | Wash | S |` becomes tab-separated text; anything else is left alone."""
    row = raw.strip()
    if not (row.startswith("|") and row.count("|") >= 2):
        return raw
    return "\t".join(cell.strip() for cell in row.strip("|").split("|")).strip()


def _narrowed(text: str) -> str:
    """Long runs of blanks inside a line say no more than two blanks, or a tab."""
    return re.sub(r"\t[ \t]*+", "\t", re.sub(r" {3,}+", "  ", text)).replace("  \t", "\t")


def _indent(body: str) -> int:
    columns = 0
    for sign in body:
        if sign == "\t":
            columns += _TAB - columns % _TAB
        elif sign == " ":
            columns += 1
        else:
            break
    return columns
