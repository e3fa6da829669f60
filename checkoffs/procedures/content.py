"""A procedure's content: sections of steps and the rule, as one plain JSON document.

Steps are numbered 1..n through the whole list and sections lettered A.. by position; their ids never change.
No floats: decimals are text, times whole seconds. `content_shape` says what each field accepts, `checks` what may
be published.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from copy import deepcopy
from dataclasses import dataclass
from typing import Any, NotRequired, TypedDict

from checkoffs.procedures.content_shape import Problem, validate
from checkoffs.procedures.reading import Reading
from checkoffs.scoring.rule_parts import AUTOMATIC, DEFAULT_SCALE

__all__ = [
    "Content",
    "NumberedStep",
    "Problem",
    "Rule",
    "Section",
    "Step",
    "completed",
    "empty_content",
    "find_step",
    "from_reading",
    "new_section",
    "new_step",
    "numbered_steps",
    "scoring_rule",
    "section_letter",
    "validate",
]


class Measured(TypedDict):
    """A step whose value is measured; `target` null = the evaluator's own count; `tolerance` either side, as text."""

    unit: str
    target: NotRequired[str | None]
    tolerance: NotRequired[str | None]


class Bounds(TypedDict):
    """At least and at most, in seconds; null = no bound."""

    at_least_s: NotRequired[int | None]
    at_most_s: NotRequired[int | None]


class Step(TypedDict):
    """One step. `marks` null = every mark allowed; `cue` is for the evaluator only, never shown to students."""

    id: str
    text: str
    cue: NotRequired[str]
    why: NotRequired[str]
    right: NotRequired[list[str]]
    critical: NotRequired[bool]
    critical_reason: NotRequired[str]
    marks: NotRequired[list[str] | None]
    subpoints: NotRequired[list[str]]
    optional: NotRequired[bool]
    phrases: NotRequired[list[str]]
    measured: NotRequired[Measured | None]
    timed: NotRequired[Bounds | None]
    points: NotRequired[str]


class Section(TypedDict):
    """A section and its steps in order."""

    id: str
    title: NotRequired[str]
    steps: list[Step]


Rule = dict[str, Any]


class Content(TypedDict):
    """The whole document. `rule` is described field by field in `content_shape`."""

    title: str
    summary: NotRequired[str]
    sections: list[Section]
    rule: Rule


@dataclass(frozen=True)
class NumberedStep:
    """A step with its number through the whole list and the letter of its section."""

    number: int
    letter: str
    section: Section
    step: Step


def section_letter(position: int) -> str:
    """A for the first section (position 0), … Z, AA, AB, …"""
    letters = ""
    position += 1
    while position:
        position, rest = divmod(position - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def numbered_steps(content: Content) -> Iterator[NumberedStep]:
    """All steps in reading order with number and section letter."""
    number = 0
    for position, section in enumerate(content["sections"]):
        for step in section["steps"]:
            number += 1
            yield NumberedStep(number, section_letter(position), section, step)


def find_step(content: Content, step_id: str) -> NumberedStep | None:
    """The step with this id, or None."""
    return next((found for found in numbered_steps(content) if found.step["id"] == step_id), None)


def new_step(step_id: str, text: str = "") -> Step:
    """A step with every field at its default."""
    return {
        "id": step_id,
        "text": text,
        "cue": "",
        "why": "",
        "right": [],
        "critical": False,
        "critical_reason": "",
        "marks": None,
        "subpoints": [],
        "optional": False,
        "phrases": [],
        "measured": None,
        "timed": None,
        "points": "1",
    }


def new_section(section_id: str, title: str = "") -> Section:
    """An empty section."""
    return {"id": section_id, "title": title, "steps": []}


def _new_rule() -> Rule:
    """The rule a new procedure starts with: every critical step, and the automatic fails."""
    return {
        "critical_all": True,
        "automatic_fail": list(AUTOMATIC),
        "mark_scale": {},
        "score": {"kind": "none", "cut": None, "per_section": {}, "retake_cap": None},
        "limits": [],
        "pairs": [],
        "gaps": [],
        "stated": [],
        "prompts": {"total": None, "by_kind": {}},
        "identity_required": True,
    }


def empty_content(title: str) -> Content:
    """A procedure without any step."""
    return {"title": title, "summary": "", "sections": [], "rule": _new_rule()}


def from_reading(reading: Reading, new_id: Callable[[], str]) -> Content:
    """A first draft from what was read. Critical steps still lack their reason, which publishing asks for.

    new_id: gives a fresh identifier at each call (the caller owns the randomness).
    """
    content = empty_content(reading.title)
    for read_section in reading.sections:
        section = new_section(new_id(), read_section.title or "Steps")
        for read_step in read_section.steps:
            step = new_step(new_id(), read_step.text)
            step["critical"] = read_step.critical
            step["subpoints"] = list(read_step.subpoints)
            section["steps"].append(step)
        content["sections"].append(section)
    return content


_ENTRIES: dict[str, dict[str, Any]] = {
    "limits": {"of": None, "scalable": False},
    "pairs": {"critical": False},
    "gaps": {"at_least_s": None, "at_most_s": None, "critical": False},
    "stated": {
        "step": None,
        "critical": False,
        "must_be_right": True,
        "closes_with": None,
        "grades_rounding": False,
        "no_unit": "wrong",
    },
}


def completed(content: Content) -> Content:
    """The same document with every field that was left out at its default, so that readers need no fallbacks."""
    whole: Content = deepcopy(content)
    whole.setdefault("summary", "")
    for section in whole["sections"]:
        section.setdefault("title", "")
        section["steps"] = [_completed_step(step) for step in section["steps"]]
    blank = _new_rule()
    rule = whole["rule"] = {**blank, **whole["rule"]}
    for part in ("score", "prompts"):
        rule[part] = {**blank[part], **rule[part]}
    for part, defaults in _ENTRIES.items():
        rule[part] = [{**defaults, **entry} for entry in rule[part]]
    return whole


def _completed_step(step: Step) -> Step:
    whole = new_step(step["id"])
    whole.update(step)
    return whole


def scoring_rule(content: Content) -> dict[str, Any]:
    """The scoring rule document of `checkoffs.scoring.rule` for this content: seconds become milliseconds."""
    whole = completed(content)
    rule = whole["rule"]
    steps = {
        found.step["id"]: {
            "section": found.section["id"],
            "number": found.number,
            "critical": found.step["critical"],
            "reason": found.step["critical_reason"],
            "points": found.step["points"],
            "optional": found.step["optional"],
            "measured": found.step["measured"],
            "timed": _milliseconds(found.step["timed"]),
        }
        for found in numbered_steps(whole)
    }
    return {
        "sections": [
            {"id": section["id"], "steps": [step["id"] for step in section["steps"]]} for section in whole["sections"]
        ],
        "steps": steps,
        "marks": {**deepcopy(DEFAULT_SCALE), **rule["mark_scale"]},
        "critical_all": rule["critical_all"],
        "automatic_fail": rule["automatic_fail"],
        "score": rule["score"],
        "limits": [_milliseconds(entry) for entry in rule["limits"]],
        "pairs": rule["pairs"],
        "gaps": [_milliseconds(entry) for entry in rule["gaps"]],
        "stated": rule["stated"],
        "prompts": rule["prompts"],
        "identity_required": rule["identity_required"],
    }


def _milliseconds(entry: Any) -> Any:
    """The same record with each `…_s` field as `…_ms`."""
    if entry is None:
        return None
    return dict(_in_milliseconds(name, value) for name, value in entry.items())


def _in_milliseconds(name: str, value: Any) -> tuple[str, Any]:
    if not name.endswith("_s"):
        return name, value
    return f"{name.removesuffix('_s')}_ms", None if value is None else value * 1000
