"""What the checks share: a finding, and a procedure laid out for asking about steps and what they can earn."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from checkoffs.procedures.content import Content, Section, Step, completed, numbered_steps, section_letter
from checkoffs.scoring.rule_parts import DEFAULT_SCALE

# "not applicable" leaves a step out; a step that only this could satisfy cannot be passed by doing it.
_NOT_DONE = "not_applicable"


@dataclass(frozen=True)
class Finding:
    """One reason against publishing.

    where: "step:ID", "section:ID", "pair:ID", "gap:ID", "limit:ID", "stated:ID", "mark:CODE", "score", "prompts",
    "title", "sections", "rule…", or for code "shape" the dotted path in the document; accepted: what would do.
    """

    code: str
    where: str
    why: str
    accepted: str


@dataclass(frozen=True)
class Plan:
    """A completed procedure with its look-ups."""

    content: Content
    rule: Mapping[str, Any]
    steps: Mapping[str, Step]
    number: Mapping[str, int]
    section_of: Mapping[str, str]
    sections: Mapping[str, Section]
    scale: Mapping[str, Mapping[str, Any]]

    def called(self, section_id: str) -> str:
        """How people see a section: its letter and title."""
        place = list(self.sections).index(section_id)
        title = self.sections[section_id].get("title", "")
        return f"{section_letter(place)} ({title})" if title else section_letter(place)

    def must(self, step_id: str) -> bool:
        """Whether the rule fails an attempt for this step alone."""
        step = self.steps[step_id]
        critical = bool(step.get("critical")) and bool(self.rule["critical_all"])
        return not step.get("optional") and (critical or self.rule["score"]["kind"] == "all")

    def satisfiable(self, step_id: str) -> bool:
        """Whether a mark allowed for the step satisfies it."""
        return any(self.scale[code]["satisfies"] for code in self._done_marks(step_id))

    def best_score(self, section_id: str | None) -> tuple[Fraction, Fraction]:
        """Points that can be earned at best, and points that count, in one section or (None) in all."""
        best = possible = Fraction(0)
        for key, step in self.steps.items():
            if step.get("optional") or (section_id is not None and self.section_of[key] != section_id):
                continue
            points = Fraction(step.get("points", "1"))
            credits = [Fraction(self.scale[code]["credit"]) for code in self._done_marks(key)]
            possible += points
            best += points * max(credits, default=Fraction(0))
        return best, possible

    def closes_too_early(self, stated_at: str, closing: str) -> bool:
        """Whether the closing step stands before the stating one, in the list or by a chain of order pairs."""
        if self.number[closing] < self.number[stated_at]:
            return True
        seen, open_ends = {closing}, [closing]
        while open_ends:
            here = open_ends.pop()
            ahead = {pair["after"] for pair in self.rule["pairs"] if pair["before"] == here} - seen
            seen |= ahead
            open_ends += ahead
        return closing != stated_at and stated_at in seen

    def _done_marks(self, step_id: str) -> list[str]:
        allowed = self.steps[step_id].get("marks")
        return [code for code in (self.scale if allowed is None else allowed) if code != _NOT_DONE]


def plan_of(content: Content) -> Plan:
    """Lay out a document whose shape is sound and whose ids are used once."""
    whole = completed(content)
    found = list(numbered_steps(whole))
    return Plan(
        content=whole,
        rule=whole["rule"],
        steps={entry.step["id"]: entry.step for entry in found},
        number={entry.step["id"]: entry.number for entry in found},
        section_of={entry.step["id"]: entry.section["id"] for entry in found},
        sections={section["id"]: section for section in whole["sections"]},
        scale={**DEFAULT_SCALE, **whole["rule"]["mark_scale"]},
    )
