"""Cuts and caps of the score that cannot be reached, or that nothing keeps."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from checkoffs.procedures.checks_finding import Finding, Plan


def score_findings(plan: Plan) -> Iterator[Finding]:
    """Findings on the score of the whole and of sections."""
    score = plan.rule["score"]
    cuts = {None: score["cut"], **score["per_section"]}
    given = {section: Fraction(cut) for section, cut in cuts.items() if cut is not None}
    kind = score["kind"]
    if kind in ("none", "all"):
        if given:
            yield Finding(
                "cut_without_score", "score", "A cut is given, but no score is asked for.", "percent or points"
            )
        if score["retake_cap"] is not None:
            yield Finding(
                "cap_without_score", "score", "A retake is capped, but no score is kept.", "percent or points"
            )
        return
    if not given:
        yield Finding("no_cut", "score", "A score is asked for, but no cut says what passes.", "a cut")
    for section, cut in given.items():
        yield from _cut(plan, section, cut)
    cap = score["retake_cap"]
    if cap is not None and None in given and Fraction(cap) < given[None]:
        yield Finding(
            "cap_below_cut",
            "score",
            f"A passed retake is capped at {cap}, below the cut of {score['cut']}.",
            "cap ≥ cut",
        )


def _cut(plan: Plan, section: str | None, cut: Fraction) -> Iterator[Finding]:
    where = "score" if section is None else f"section:{section}"
    if section is not None and section not in plan.sections:
        yield Finding(
            "unknown_section", "score", f"A cut names the section {section}, which is not there.", "a section"
        )
        return
    best, possible = plan.best_score(section)
    percent = plan.rule["score"]["kind"] == "percent"
    unit = " %" if percent else " points"
    reach = (best / possible * 100 if possible else Fraction(0)) if percent else best
    if cut <= 0:
        yield Finding("cut_not_positive", where, f"A cut of {_plain(cut)}{unit} is passed by anyone.", "more than 0")
    elif percent and cut > 100:
        yield Finding("cut_above_hundred", where, f"A cut of {_plain(cut)} % cannot be reached.", "up to 100")
    elif cut > reach:
        yield Finding(
            "cut_above_possible",
            where,
            f"The cut is {_plain(cut)}{unit}, but at most {_plain(reach)}{unit} can be earned.",
            f"up to {_plain(reach)}",
        )


def _plain(number: Fraction) -> str:
    """A number for people: whole, or to one place, cut and never rounded up."""
    if number.denominator == 1:
        return str(number.numerator)
    tenths = number * 10 // 1
    return f"{tenths // 10}.{tenths % 10}"
