"""What differs between two contents, in words for colleagues and the audit trail. Pure."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from checkoffs.procedures.content import Content, NumberedStep, completed, numbered_steps

_FIELDS = {
    "text": "words",
    "cue": "cue",
    "why": "why it matters",
    "right": "what right looks like",
    "critical": "critical or not",
    "critical_reason": "reason for being critical",
    "marks": "allowed marks",
    "subpoints": "sub-points",
    "optional": "optional or not",
    "phrases": "comment phrases",
    "measured": "measured value",
    "timed": "timing",
    "points": "points",
}
_RULE = {
    "critical_all": "critical steps",
    "automatic_fail": "automatic fails",
    "mark_scale": "what marks count",
    "score": "score",
    "limits": "time limits",
    "pairs": "order pairs",
    "gaps": "times between steps",
    "stated": "stated values",
    "prompts": "prompts allowed",
    "identity_required": "identity check",
}
_LONGEST = 60
MOST_LINES = 12


def changed_words(old: Content, new: Content) -> list[str]:
    """Short lines such as “step 7: words, cue”; at most MOST_LINES, the last then counts the rest."""
    before, after = completed(old), completed(new)
    lines = [*_top(before, after), *_steps(before, after), *_rule(before["rule"], after["rule"])]
    if len(lines) > MOST_LINES:
        rest = len(lines) - MOST_LINES + 1
        lines = [*lines[: MOST_LINES - 1], f"and {rest} more changes"]
    return lines


def _top(old: Content, new: Content) -> Iterator[str]:
    if old["title"] != new["title"]:
        yield "title"
    if old["summary"] != new["summary"]:
        yield "summary"
    sections = {section["id"]: section["title"] for section in old["sections"]}
    later = {section["id"]: section["title"] for section in new["sections"]}
    yield from (f"section added: {title}" for key, title in later.items() if key not in sections)
    yield from (f"section removed: {title}" for key, title in sections.items() if key not in later)
    for key, title in later.items():
        if key in sections and sections[key] != title:
            yield f"section renamed: {title}"
    if _common(sections, later) != _common(later, sections):
        yield "order of sections"


def _steps(old: Content, new: Content) -> Iterator[str]:
    before = {found.step["id"]: found for found in numbered_steps(old)}
    after = {found.step["id"]: found for found in numbered_steps(new)}
    yield from (f"step added: {_named(found)}" for key, found in after.items() if key not in before)
    yield from (f"step removed: {_named(found)}" for key, found in before.items() if key not in after)
    for key, found in after.items():
        if key not in before:
            continue
        was, now = dict(before[key].step), dict(found.step)
        fields = [words for name, words in _FIELDS.items() if was.get(name) != now.get(name)]
        if fields:
            yield f"step {_named(found)}: {', '.join(fields)}"
        if before[key].section["id"] != found.section["id"]:
            yield f"step {_named(found)}: moved to section {found.letter}"
    if _common(before, after) != _common(after, before):
        yield "order of steps"


def _rule(old: dict[str, Any], new: dict[str, Any]) -> Iterator[str]:
    parts = [words for name, words in _RULE.items() if old.get(name) != new.get(name)]
    if parts:
        yield f"rule: {', '.join(parts)}"


def _common(one: dict[str, Any], other: dict[str, Any]) -> list[str]:
    return [key for key in one if key in other]


def _named(found: NumberedStep) -> str:
    text = found.step["text"]
    return f"{found.number} “{text if len(text) <= _LONGEST else text[: _LONGEST - 1] + '…'}”"
