"""A procedure's scoring rule as data: the document, read into frozen dataclasses.

The document (JSON; keys marked * may be left out, then the value behind = holds)::

    {"sections": [{"id", "steps": [step id]}],
     "steps": {id: {"section", "number", "critical"*=false, "reason"*="", "points"*="1", "optional"*=false,
                    "measured"*=null | {"unit", "target": null|text, "tolerance": null|"2"},
                    "timed"*=null | {"at_least_ms": null|int, "at_most_ms": null|int}}},
     "marks"*: {code: {"credit": "1", "satisfies": true}}       (left out: the default scale)
     "critical_all"*=true, "automatic_fail"*=[] of breach_unnoticed | breach_uncorrected | safety_stop,
     "score"*: {"kind": "none|all|percent|points", "cut": null|"80", "per_section": {section: "70"},
                "retake_cap": null|"77"}                         (left out: kind none)
     "limits"*: [{"id", "scope": "whole|section|step", "of": null|id, "limit_ms",
                  "on_reaching": "fail|fail_unfinished|record", "scalable"*=false}],
     "pairs"*: [{"id", "before", "after", "critical"*=false}],
     "gaps"*: [{"id", "from", "to", "at_least_ms": null|int, "at_most_ms": null|int, "critical"*=false}],
     "stated"*: [{"id", "label"*=id, "step"*=null, "critical"*=false, "must_be_right"*=true,
                  "closes_with"*=null, "grades_rounding"*=false, "no_unit"*="wrong" | "accepted"}],
     "prompts"*: {"total": null|int, "by_kind": {"time|general|specific": int}},
     "identity_required"*=false}

A document that contradicts itself raises ScoringError with the dotted path of the contradiction.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from checkoffs.scoring.consistency import agree
from checkoffs.scoring.errors import ScoringError
from checkoffs.scoring.reading import Reader
from checkoffs.scoring.rule_parts import (
    AUTOMATIC,
    DEFAULT_SCALE,
    MARKS,
    ON_REACHING,
    PROMPT_KINDS,
    SCOPES,
    SCORE_KINDS,
    Bounds,
    Check,
    Gap,
    Limit,
    Mark,
    Measured,
    Pair,
    Rule,
    Score,
    Section,
    Step,
)

__all__ = ["DEFAULT_SCALE", "MARKS", "Rule", "parse_rule"]


def parse_rule(document: Mapping[str, Any]) -> Rule:
    """Read a rule document. Raises ScoringError(code, field) at the first thing that cannot be."""
    top = Reader(document, "")
    sections = tuple(Section(r.text("id"), tuple(r.texts("steps"))) for r in top.children("sections"))
    read = {key: _step(key, reader) for key, reader in top.children_by_key("steps").items()}
    # The list's own order, which every answer keeps: JSON objects promise none.
    listed = [key for section in sections for key in section.steps if key in read]
    steps = {key: read[key] for key in [*listed, *read]}
    rule = Rule(
        sections=sections,
        steps=steps,
        marks=_marks(top),
        critical_all=top.flag("critical_all", True),
        automatic_fail=tuple(top.choices("automatic_fail", AUTOMATIC)),
        score=_score(top),
        limits=tuple(_limit(r) for r in top.children("limits")),
        pairs=tuple(
            Pair(r.text("id"), r.text("before"), r.text("after"), r.flag("critical", False))
            for r in top.children("pairs")
        ),
        gaps=tuple(
            Gap(r.text("id"), r.text("from"), r.text("to"), _bounds(r), r.flag("critical", False))
            for r in top.children("gaps")
        ),
        stated=tuple(_check(r) for r in top.children("stated")),
        prompts_total=top.child("prompts").whole("total", None),
        prompts_by_kind=_prompts(top.child("prompts")),
        identity_required=top.flag("identity_required", False),
    )
    agree(rule)
    return rule


def _marks(top: Reader) -> dict[str, Mark]:
    given = top.children_by_key("marks") or {
        code: Reader(value, f"marks.{code}") for code, value in DEFAULT_SCALE.items()
    }
    for code in given:
        if code not in MARKS:
            raise ScoringError("unknown_mark", f"marks.{code}")
    return {code: Mark(r.number("credit"), r.flag("satisfies")) for code, r in given.items()}


def _prompts(reader: Reader) -> dict[str, int]:
    allowed = reader.child("by_kind")
    for kind in allowed.names():
        if kind not in PROMPT_KINDS:
            raise ScoringError("unknown_prompt", f"prompts.by_kind.{kind}")
    return {kind: allowed.whole(kind) for kind in allowed.names()}


def _step(key: str, reader: Reader) -> Step:
    measured = reader.child("measured")
    timed = reader.child("timed")
    return Step(
        id=key,
        section=reader.text("section"),
        number=reader.whole("number"),
        critical=reader.flag("critical", False),
        reason=reader.text("reason", ""),
        points=reader.number("points", "1"),
        optional=reader.flag("optional", False),
        measured=None
        if measured.empty
        else Measured(measured.text("unit"), measured.text_or_none("target"), measured.number_or_none("tolerance")),
        timed=None if timed.empty else _bounds(timed),
    )


def _bounds(reader: Reader) -> Bounds:
    least, most = reader.whole("at_least_ms", None), reader.whole("at_most_ms", None)
    if least is None and most is None:
        raise ScoringError("no_bound", reader.path("at_least_ms"))
    if least is not None and most is not None and least > most:
        raise ScoringError("bounds_cross", reader.path("at_most_ms"))
    return Bounds(least, most)


def _score(top: Reader) -> Score:
    reader = top.child("score")
    kind = reader.choice("kind", SCORE_KINDS, "none")
    sections = reader.child("per_section")
    score = Score(
        kind=kind,
        cut=reader.number_or_none("cut"),
        per_section={key: sections.number(key) for key in sections.names()},
        retake_cap=reader.number_or_none("retake_cap"),
    )
    counts = kind in ("percent", "points")
    if counts and score.cut is None and not score.per_section:
        raise ScoringError("no_cut", "score.cut")
    if not counts and score.per_section:
        raise ScoringError("cut_without_score", "score.per_section")
    if kind == "percent" and any(cut > 100 for cut in (score.cut or Fraction(0), *score.per_section.values())):
        raise ScoringError("cut_above_hundred", "score.cut")
    return score


def _limit(reader: Reader) -> Limit:
    scope = reader.choice("scope", SCOPES)
    limit_ms = reader.whole("limit_ms")
    of = reader.text_or_none("of")
    if scope != "whole" and of is None:
        raise ScoringError("missing", reader.path("of"))
    if limit_ms <= 0:
        raise ScoringError("not_positive", reader.path("limit_ms"))
    return Limit(
        id=reader.text("id"),
        scope=scope,
        of=of if scope != "whole" else None,
        limit_ms=limit_ms,
        on_reaching=reader.choice("on_reaching", ON_REACHING),
        scalable=reader.flag("scalable", False),
    )


def _check(reader: Reader) -> Check:
    key = reader.text("id")
    return Check(
        id=key,
        label=reader.text("label", key),
        step=reader.text_or_none("step"),
        critical=reader.flag("critical", False),
        must_be_right=reader.flag("must_be_right", True),
        closes_with=reader.text_or_none("closes_with"),
        grades_rounding=reader.flag("grades_rounding", False),
        no_unit=reader.choice("no_unit", ("wrong", "accepted"), "wrong"),
    )
