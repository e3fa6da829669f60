"""Edits of a procedure's content as pure functions: each gives a new document and leaves the given one alone.

Ids stay with their step through every move and change of words. What loses its ground in the rule by an edit is taken
out and reported, never left dangling. An id that is not there raises KeyError.
"""

from __future__ import annotations

from copy import deepcopy
from dataclasses import dataclass
from typing import Any

from checkoffs.procedures.content import Content, Section, Step, new_section, new_step, numbered_steps


@dataclass(frozen=True)
class Removed:
    """Something the rule lost: part (pair, gap, limit, stated, score), its id, and why in plain words."""

    part: str
    id: str
    why: str


@dataclass(frozen=True)
class Edited:
    """A new document, and what had to leave its rule."""

    content: Content
    removed: tuple[Removed, ...] = ()


def change(content: Content, **fields: Any) -> Content:
    """New title, summary or rule."""
    new = deepcopy(content)
    new.update(deepcopy(fields))  # type: ignore[typeddict-item]
    return new


def change_step(content: Content, step_id: str, **fields: Any) -> Content:
    """New values for fields of one step; its id cannot change."""
    new = deepcopy(content)
    section, place = _place(new, step_id)
    section["steps"][place].update({**deepcopy(fields), "id": step_id})  # type: ignore[typeddict-item]
    return new


def change_section(content: Content, section_id: str, title: str) -> Content:
    """A new title for a section."""
    new = deepcopy(content)
    _section(new, section_id)["title"] = title
    return new


def add_section(content: Content, section_id: str, title: str, at: int | None = None) -> Content:
    """A new empty section at a position, or at the end."""
    new = deepcopy(content)
    new["sections"].insert(len(new["sections"]) if at is None else at, new_section(section_id, title))
    return new


def remove_section(content: Content, section_id: str) -> Edited:
    """Take out a section with all its steps."""
    new = deepcopy(content)
    new["sections"].remove(_section(new, section_id))
    return clean_rule(new)


def move_section(content: Content, section_id: str, to: int) -> Content:
    """Put a section at another position; positions beyond the ends mean the ends."""
    new = deepcopy(content)
    section = _section(new, section_id)
    new["sections"].remove(section)
    new["sections"].insert(max(0, to), section)
    return new


def add_step(content: Content, section_id: str, step_id: str, text: str = "", at: int | None = None) -> Content:
    """A new step in a section at a position, or at its end."""
    new = deepcopy(content)
    steps = _section(new, section_id)["steps"]
    steps.insert(len(steps) if at is None else at, new_step(step_id, text))
    return new


def remove_step(content: Content, step_id: str) -> Edited:
    """Take out one step."""
    new = deepcopy(content)
    section, place = _place(new, step_id)
    del section["steps"][place]
    return clean_rule(new)


def move_step(content: Content, step_id: str, section_id: str, to: int) -> Content:
    """Put a step into a section at a position, counted after it was taken out."""
    new = deepcopy(content)
    section, place = _place(new, step_id)
    step = section["steps"].pop(place)
    _section(new, section_id)["steps"].insert(max(0, to), step)
    return new


def shift_step(content: Content, step_id: str, by: int) -> Content:
    """Move a step one place up (by -1) or down (by 1); at a section's edge it goes into the neighbouring section."""
    section, place = _place(content, step_id)
    here = content["sections"].index(section)
    if 0 <= place + by < len(section["steps"]):
        return move_step(content, step_id, section["id"], place + by)
    if not 0 <= here + by < len(content["sections"]):
        return deepcopy(content)
    neighbour = content["sections"][here + by]
    return move_step(content, step_id, neighbour["id"], len(neighbour["steps"]) if by < 0 else 0)


def split_step(content: Content, step_id: str, new_id: str, first: str, second: str) -> Content:
    """Cut a step in two. The first keeps the id and all else; the second stays critical for the same reason."""
    new = deepcopy(content)
    section, place = _place(new, step_id)
    old = section["steps"][place]
    added = new_step(new_id, second)
    added["critical"] = old.get("critical", False)
    added["critical_reason"] = old.get("critical_reason", "")
    added["marks"] = deepcopy(old.get("marks"))
    old["text"] = first
    section["steps"].insert(place + 1, added)
    return new


def join_steps(content: Content, first_id: str, second_id: str) -> Edited:
    """Make one step of two: words, sub-points, cues and the rest are added up; the rule follows to the first."""
    new = deepcopy(content)
    section, place = _place(new, first_id)
    other, second_place = _place(new, second_id)
    if first_id == second_id:
        return Edited(new)
    first, second = section["steps"][place], other["steps"][second_place]
    _add_up(first, second)
    del other["steps"][second_place]
    _point_to(new, second_id, first_id)
    return clean_rule(new)


def step_to_subpoint(content: Content, step_id: str) -> Edited:
    """Make a step a sub-point of the step above it in its section; the first step of a section stays."""
    new = deepcopy(content)
    section, place = _place(new, step_id)
    if place == 0:
        return Edited(new)
    step, above = section["steps"].pop(place), section["steps"][place - 1]
    above["subpoints"] = [*above.get("subpoints", []), step["text"], *step.get("subpoints", [])]
    return clean_rule(new)


def subpoint_to_step(content: Content, step_id: str, subpoint: int, new_id: str) -> Content:
    """Make a sub-point (position from 0) a step of its own, right below; the sub-points after it go with it."""
    new = deepcopy(content)
    section, place = _place(new, step_id)
    points = section["steps"][place].get("subpoints", [])
    if not 0 <= subpoint < len(points):
        raise KeyError(subpoint)
    added = new_step(new_id, points[subpoint])
    added["subpoints"] = points[subpoint + 1 :]
    section["steps"][place]["subpoints"] = points[:subpoint]
    section["steps"].insert(place + 1, added)
    return new


def clean_rule(content: Content) -> Edited:
    """Take out of the rule whatever points to a step or section that is not there, and say what that was."""
    new = deepcopy(content)
    steps = {found.step["id"] for found in numbered_steps(new)}
    sections = {section["id"] for section in new["sections"]}
    removed: list[Removed] = []
    rule = new["rule"]
    _keep(rule, "pairs", "pair", removed, lambda e: {e["before"], e["after"]} <= steps and e["before"] != e["after"])
    _keep(rule, "gaps", "gap", removed, lambda e: {e["from"], e["to"]} <= steps and e["from"] != e["to"])
    _keep(rule, "limits", "limit", removed, lambda e: _limit_stands(e, steps, sections))
    for entry in rule.get("stated", []):
        for field, words in (("step", "the step at which it is stated"), ("closes_with", "the step that closes it")):
            if entry.get(field) is not None and entry[field] not in steps:
                entry[field] = None
                removed.append(Removed("stated", entry["id"], f"{words} is gone"))
    cuts = rule.get("score", {}).get("per_section", {})
    for section_id in [key for key in cuts if key not in sections]:
        del cuts[section_id]
        removed.append(Removed("score", section_id, "the section with this cut is gone"))
    return Edited(new, tuple(removed))


def _keep(rule: dict[str, Any], field: str, part: str, removed: list[Removed], stands: Any) -> None:
    entries = rule.get(field, [])
    for entry in entries:
        if not stands(entry):
            removed.append(Removed(part, entry["id"], "a step or section it names is gone"))
    if entries:
        rule[field] = [entry for entry in entries if stands(entry)]


def _limit_stands(entry: dict[str, Any], steps: set[str], sections: set[str]) -> bool:
    known = {"section": sections, "step": steps}.get(entry["scope"])
    return known is None or entry.get("of") in known


def _add_up(first: Step, second: Step) -> None:
    first["text"] = " ".join(part for part in (first["text"].strip(), second["text"].strip()) if part)
    first["subpoints"] = [*first.get("subpoints", []), *second.get("subpoints", [])]
    first["right"] = [*first.get("right", []), *second.get("right", [])]
    first["phrases"] = [*first.get("phrases", []), *second.get("phrases", [])]
    first["cue"] = " ".join(part for part in (first.get("cue", ""), second.get("cue", "")) if part)
    first["why"] = " ".join(part for part in (first.get("why", ""), second.get("why", "")) if part)
    reasons = [step.get("critical_reason", "") for step in (first, second) if step.get("critical")]
    first["critical"] = bool(reasons)
    first["critical_reason"] = " ".join(dict.fromkeys(reason for reason in reasons if reason))
    first["optional"] = first.get("optional", False) and second.get("optional", False)
    first["measured"] = first.get("measured") or second.get("measured")
    first["timed"] = first.get("timed") or second.get("timed")


def _point_to(content: Content, old: str, new: str) -> None:
    """Let the rule name the step `new` wherever it named `old`."""
    rule = content["rule"]
    for field, names in (
        ("pairs", ("before", "after")),
        ("gaps", ("from", "to")),
        ("stated", ("step", "closes_with")),
    ):
        for entry in rule.get(field, []):
            for name in names:
                if entry.get(name) == old:
                    entry[name] = new
    for entry in rule.get("limits", []):
        if entry["scope"] == "step" and entry.get("of") == old:
            entry["of"] = new


def _section(content: Content, section_id: str) -> Section:
    for section in content["sections"]:
        if section["id"] == section_id:
            return section
    raise KeyError(section_id)


def _place(content: Content, step_id: str) -> tuple[Section, int]:
    for section in content["sections"]:
        for place, step in enumerate(section["steps"]):
            if step["id"] == step_id:
                return section, place
    raise KeyError(step_id)
