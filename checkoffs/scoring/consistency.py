"""What one part of a rule says of another must hold: ids exist, are used once, and nothing rules itself out."""

from __future__ import annotations

from typing import Any

from checkoffs.scoring.errors import ScoringError
from checkoffs.scoring.rule_parts import Rule


def agree(rule: Rule) -> None:
    """Raise ScoringError(code, field) at the first contradiction between parts of the rule."""
    listed = [step for section in rule.sections for step in section.steps]
    if sorted(listed) != sorted(rule.steps):
        raise ScoringError("steps_and_sections_differ", "sections")
    for section in rule.sections:
        for key in section.steps:
            if rule.steps[key].section != section.id:
                raise ScoringError("wrong_section", f"steps.{key}.section")
    for step_id, step in rule.steps.items():
        if step.critical and step.optional:
            raise ScoringError("optional_critical", f"steps.{step_id}.optional")
    _once("sections", [section.id for section in rule.sections])
    _once("limits", [limit.id for limit in rule.limits] + list(rule.steps))
    _once("pairs", [pair.id for pair in rule.pairs])
    _once("gaps", [gap.id for gap in rule.gaps])
    _once("stated", [check.id for check in rule.stated])
    _refer(rule)


def _refer(rule: Rule) -> None:
    sections = {section.id for section in rule.sections}
    for key in rule.score.per_section:
        _known(key, sections, f"score.per_section.{key}", "unknown_section")
    for i, limit in enumerate(rule.limits):
        if limit.scope == "section":
            _known(limit.of, sections, f"limits.{i}.of", "unknown_section")
        if limit.scope == "step":
            _known(limit.of, rule.steps, f"limits.{i}.of")
    for i, pair in enumerate(rule.pairs):
        _known(pair.before, rule.steps, f"pairs.{i}.before")
        _known(pair.after, rule.steps, f"pairs.{i}.after")
        if pair.before == pair.after:
            raise ScoringError("same_step", f"pairs.{i}.after")
    for i, gap in enumerate(rule.gaps):
        _known(gap.start, rule.steps, f"gaps.{i}.from")
        _known(gap.stop, rule.steps, f"gaps.{i}.to")
        if gap.start == gap.stop:
            raise ScoringError("same_step", f"gaps.{i}.to")
    for i, check in enumerate(rule.stated):
        for name, step in (("step", check.step), ("closes_with", check.closes_with)):
            if step is not None:
                _known(step, rule.steps, f"stated.{i}.{name}")


def _known(key: str | None, among: Any, field: str, code: str = "unknown_step") -> None:
    if key not in among:
        raise ScoringError(code, field)


def _once(field: str, ids: list[str]) -> None:
    for key in ids:
        if ids.count(key) > 1:
            raise ScoringError("duplicate_id", field, f"{field}: {key} is used more than once")
