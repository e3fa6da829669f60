"""A content laid out for pages: numbered steps by section, findings with their places, the rule in words. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from checkoffs.procedures.checks_finding import Finding
from checkoffs.procedures.content import (
    Content,
    NumberedStep,
    Section,
    completed,
    numbered_steps,
    scoring_rule,
    section_letter,
)
from checkoffs.scoring.errors import ScoringError
from checkoffs.scoring.rule_text import rule_sentences


@dataclass(frozen=True)
class ShownSection:
    """A section with its letter and its numbered steps."""

    letter: str
    section: Section
    steps: list[NumberedStep]


@dataclass(frozen=True)
class Place:
    """A finding with where it is corrected: ``page`` is edit or rule, ``query`` and ``anchor`` lead to the spot."""

    finding: Finding
    page: str
    query: str
    anchor: str
    step: str | None


def sections_of(content: Content) -> list[ShownSection]:
    """Sections with letters and numbered steps, every field of a step filled in."""
    whole = completed(content)
    shown = [ShownSection(section_letter(at), section, []) for at, section in enumerate(whole["sections"])]
    by_section = {id(one.section): one for one in shown}
    for found in numbered_steps(whole):
        by_section[id(found.section)].steps.append(found)
    return shown


def sentences_of(content: Content) -> list[str]:
    """The rule in plain sentences; empty while it is not one that can be scored."""
    try:
        document = scoring_rule(content)
        texts = {found.step["id"]: found.step["text"] for found in numbered_steps(content)}
        return rule_sentences(document, texts)
    except (ScoringError, KeyError, ValueError, TypeError):
        return []  # the findings say what is wrong with it


def places_of(content: Content | None, findings: Iterable[Finding]) -> list[Place]:
    """Where each finding is corrected."""
    steps = {found.step["id"] for found in numbered_steps(content)} if content else set()
    return [_place(finding, steps) for finding in findings]


def steps_with_findings(places: Iterable[Place]) -> dict[str, list[Finding]]:
    """Findings by the step they are about."""
    by_step: dict[str, list[Finding]] = {}
    for place in places:
        if place.step:
            by_step.setdefault(place.step, []).append(place.finding)
    return by_step


def _place(finding: Finding, steps: set[str]) -> Place:
    part, _, about = finding.where.partition(":")
    if part == "step" and about in steps:
        return Place(finding, "edit", f"?step={about}", "panel", about)
    if part == "section":
        return Place(finding, "edit", f"?section={about}", "panel", None)
    if part in ("pair", "gap", "limit", "stated"):
        return Place(finding, "rule", "", f"{part}s" if part != "stated" else "stated", None)
    if part in ("score", "prompts", "rule", "mark"):
        return Place(finding, "rule", "", "", None)
    return Place(finding, "edit", "", "", None)


def shape_path(path: str, content: Any) -> str:
    """A dotted path of a shape problem, with a step's number where it names one."""
    parts = path.split(".")
    if (
        len(parts) > 3
        and parts[0] == "sections"
        and parts[2] == "steps"
        and parts[1].isdigit()
        and parts[3].isdigit()
    ):
        before = sum(len(section["steps"]) for section in content["sections"][: int(parts[1])])
        return f"step {before + int(parts[3]) + 1}, {' '.join(parts[4:])}"
    return path
