"""Lines of a pasted checklist that are no step: comments, headings, blanks to fill in, legends, page furniture."""

from __future__ import annotations

import re
from dataclasses import dataclass

from checkoffs.procedures.reading_lines import Line, Marker, marker_of

_COMMENT = re.compile(r"^#\s*(?P<key>[a-z][a-z0-9 /_-]{0,40}):\s*(?P<value>.*)$")
_COMMENT_KEYS = "title|source|author|version|date|licen[cs]e|course|department|reviewed|revised|revision|notes?"
_COMMENT_NAMED = re.compile(rf"^#\s*(?P<key>(?i:{_COMMENT_KEYS})):\s*(?P<value>.*)$")
_TITLE = re.compile(
    r"^(?:title|skill(?: name)?|procedure(?: name| title)?|checklist|competency|task)\s*:\s*(?P<title>\S.*)$",
    re.I,
)
_PEOPLE = "student|evaluator|instructor|examiner|assessor|faculty"
_TIMES = "time (?:started?|ended|finished|allowed)|start time|end time"
_FORM = (
    "name|date|signature|initials|course|attempt|score|total|comments?|remarks"
    "|page|version|revised|reviewed|pass mark"
)
_FIELD = re.compile(rf"^(?:(?:{_PEOPLE})(?:'s)?|{_TIMES}|{_FORM})\b[^.]{{0,40}}[:#]", re.I)
_BLANKS = re.compile(r"[:#]?\s*_{3,}|\.{5,}")
_PAGE = re.compile(r"^(?:page\s+)?\d{1,3}\s*(?:of|/)\s*\d{1,3}$|^page\s+\d{1,3}$", re.I)
_CRITICAL_LEGEND = re.compile(r"critical", re.I)
_LEGEND_VERB = r"=|:|-|–|—|denotes?|indicates?|means?|marks?|are|is|critical"
_LEGEND_WORDS = re.compile(
    rf"[*†‡★#!^+]+\W{{0,2}}\s*(?:{_LEGEND_VERB})|asterisk|\bbold|starred|marked|shaded|\[C\]|\(C\)", re.I
)
_LEGEND_SIGN = re.compile(r"[\"“'(]?(?P<sign>[*†‡★#!^+])")
_TABLE_WORDS = frozenset(
    [
        "step",
        "steps",
        "s",
        "u",
        "comments",
        "comment",
        "procedure",
        "yes",
        "no",
        "met",
        "not",
        "satisfactory",
        "unsatisfactory",
        "performance",
        "criteria",
        "points",
        "date",
        "initials",
        "n/a",
        "na",
        "go",
        "pass",
        "fail",
        "task",
        "skill",
        "#",
        "critical",
        "y",
        "n",
        "ni",
        "done",
        "sat",
        "unsat",
        "nr",
        "element",
        "elements",
        "action",
        "actions",
        "and",
        "or",
    ]
)
_TABLE_MARKS = frozenset(
    [
        "s",
        "u",
        "yes",
        "no",
        "met",
        "satisfactory",
        "unsatisfactory",
        "go",
        "pass",
        "fail",
        "y",
        "n",
        "sat",
        "unsat",
        "done",
    ]
)
_LABELLED = re.compile(
    r"^(?:(?:section|part|phase|stage)\s+(?:[A-Za-z]|\d{1,2}|[ivxIVX]{1,5}))(?:\s*[:.)\-–—]\s*(?P<title>\S.*)?)?$",
    re.I,
)
_MARKDOWN = re.compile(r"^(?P<level>#{1,6})\s+(?P<title>\S.*?)\s*#*$")
_BOLD_LINE = re.compile(r"^(\*\*|__)(?P<title>(?:(?!\1).)+)\1:?$")
_THINGS = "equipment and supplies|equipment(?: needed)?|supplies(?: needed)?|materials?"
_ABOUT = (
    "objectives?|learning (?:outcomes|objectives)|purpose|rationale|references?|indications?|contraindications?"
    "|background|legend|key"
)
NOT_STEPS = re.compile(rf"^(?:{_THINGS}|{_ABOUT})\b[^.]{{0,25}}$", re.I)
PHASES = re.compile(
    r"^(?:pre|post|before|during|after|prepar|procedure$|perform|assess|plan|implement|evaluat|document|clean|clos|open|follow|complet|safety|"
    r"enter|leav|steps?$|introduc|set.?up|finish|intervention|diagnos|bedside)",
    re.I,
)
_LONGEST_HEADING = 9
_LONGEST_LEGEND = 200


@dataclass(frozen=True)
class Heading:
    """A section heading: its words, and how it was set off: h1..h6, label, bold, caps, colon, plain."""

    title: str
    style: str


def comment_of(line: Line) -> tuple[str, str] | None:
    """Key and value of a `# key: value` comment line, or None. A heading `# Closing:` is none: it has no value."""
    found = _COMMENT.match(line.text) or _COMMENT_NAMED.match(line.text)
    return (found["key"].strip().lower(), found["value"].strip()) if found else None


def title_of(line: Line) -> str | None:
    """The title on a line such as `Skill: …`, or None."""
    found = _TITLE.match(line.text)
    return None if found is None or _BLANKS.search(line.text) else found["title"].strip()


def legend_of(text: str) -> str | None:
    """Signs that a legend declares to mean *critical* ("" when it names bold or words); None when it is no legend."""
    if len(text) > _LONGEST_LEGEND or not _CRITICAL_LEGEND.search(text) or not _LEGEND_WORDS.search(text):
        return None
    found = _LEGEND_SIGN.search(text)
    return found["sign"] if found else ""


def is_furniture(text: str) -> bool:
    """Whether an unnumbered line belongs to the paper: a rule, a page number, a blank to fill in, a table head."""
    if not re.search(r"\w", text.replace("_", "")):
        return True
    if _PAGE.match(text) or (_FIELD.match(text) and len(text) < 160) or _BLANKS.search(text):
        return True
    words = [word for word in re.split(r"[\s/|()\[\].:]+", text.lower()) if word]
    return (
        2 <= len(words) <= 14
        and set(words) <= _TABLE_WORDS
        and len(_TABLE_MARKS & set(words)) >= 1
        and len(set(words)) > 1
    )


def sure_heading(text: str) -> Heading | None:
    """A heading that says so itself, whatever stands around it: markdown, `Section A: …`, a line all bold."""
    if found := _MARKDOWN.match(text):
        inner = _numbered(found["title"].strip("*_"))
        return Heading(tidy_title(inner.rest if inner else found["title"]), f"h{len(found['level'])}")
    plain = text.strip("*_ ")
    if found := _LABELLED.match(plain):
        return Heading(tidy_title(found["title"] or plain), "label")
    if (
        (found := _BOLD_LINE.match(text))
        and not _numbered(found["title"])
        and len(text.split()) <= _LONGEST_HEADING + 3
    ):
        return Heading(tidy_title(found["title"]), "bold")
    return None


def likely_heading(line: Line, *, before: str, widest: int, marked_after: bool) -> Heading | None:
    """A heading by its look and place: short, set off from an ended line, and followed by a numbered line.

    before: the line above ("" at the top); widest: length of the longest line, from which a wrapped line is told.
    """
    text = line.text
    if (
        not marked_after
        or len(text.split()) > _LONGEST_HEADING
        or text[-1] in ".,;"
        or not re.match(r"[\"“(]?[A-Z]|\d+ [A-Z]{2,}", text)
    ):
        return None
    if not (line.gap or not before or _looks_ended(before, text, widest)):
        return None
    letters = [sign for sign in text if sign.isalpha()]
    if len(letters) >= 3 and all(sign.isupper() for sign in letters):
        return Heading(tidy_title(text), "caps")
    return Heading(tidy_title(text), "colon" if text.endswith(":") else "plain")


def plain_heading(text: str) -> Heading | None:
    """A heading in a list without any number or bullet: capitals or a closing colon only."""
    letters = [sign for sign in text if sign.isalpha()]
    if len(letters) >= 4 and all(sign.isupper() for sign in letters):
        return Heading(tidy_title(text), "caps")
    if text.endswith(":") and len(text.split()) <= _LONGEST_HEADING:
        return Heading(tidy_title(text), "colon")
    return None


def tidy_title(text: str) -> str:
    """A heading's words without emphasis, label or closing colon."""
    bare = re.sub(r"\s+", " ", text.strip().strip("*_").strip()).rstrip(":").strip().strip("*_")
    labelled = _LABELLED.match(bare)
    return labelled["title"].strip() if labelled and labelled["title"] else bare


def _numbered(text: str) -> Marker | None:
    marker = marker_of(text)
    return None if marker is None or marker.weak or marker.kind == "bullet" else marker


def _looks_ended(before: str, text: str, widest: int) -> bool:
    if before[-1] in ".!?:;)]" or before.endswith("**"):
        return True
    first_word = text.split()[0]
    return len(before) + 1 + len(first_word) < max(40, int(widest * 0.8))
