"""What the rule asked and was kept, in short lines; and the small phrases that reasons share with them. Pure."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from checkoffs.records import paper_words as words
from checkoffs.records.terms import Terms

Json = Mapping[str, Any]
BY = {"evaluator": "settled by the evaluator", "instructor": "settled at moderation"}


def score_text(reason: Json, terms: Terms) -> str:
    """Points or percent with their unit, a range where not observed steps leave one."""
    span = reason["low"] if reason["low"] == reason["high"] else f"{reason['low']} to {reason['high']}"
    unit = " %" if reason["unit"] == "percent" else " points"
    part = f" in section {terms.letters[reason['section']]}" if reason.get("section") else ""
    return f"{span}{unit}{part}"


def cut_text(reason: Json) -> str:
    """The cut with its unit."""
    return f"{reason['cut']}{' %' if reason['unit'] == 'percent' else ' points'}"


def steps_text(reason: Json, terms: Terms, first: str, second: str) -> str:
    """``steps 3 and 7``."""
    return f"steps {terms.step(reason[first])} and {terms.step(reason[second])}"


def label_text(reason: Json, terms: Terms) -> str:
    """What a stated value is called."""
    return str(terms.checks[reason["check"]]["label"])


def kept_in_words(item: Json, terms: Terms) -> str:
    """What the rule asked and was kept, in a short line."""
    said = KEPT.get(item["code"])
    settled = item.get("settled")
    return "" if said is None else f"{said(item, terms)}{', ' + BY[settled['by']] if settled else ''}"


def kept_lines(met: Iterable[Json], terms: Terms) -> list[str]:
    """All that was kept, a short line each; plain order pairs and gaps share a line of their kind."""
    items = list(met)
    pairs = [item for item in items if item["code"] == "order_kept" and not item.get("settled")]
    gaps = [item for item in items if item["code"] == "gap_kept" and not item.get("settled")]
    lines = [kept_in_words(item, terms) for item in items if item not in pairs and item not in gaps]
    if pairs:
        said = ", ".join(f"{terms.step(item['before'])} before {terms.step(item['after'])}" for item in pairs)
        lines.append(f"order kept: {said}")
    if gaps:
        said = ", ".join(f"{terms.step(item['from'])} to {terms.step(item['to'])}" for item in gaps)
        lines.append(f"times between kept: {said}")
    return [line for line in lines if line]


def _time_kept(item: Json, terms: Terms) -> str:
    scope = "time" if item["scope"] == "whole" else terms.scope(item)
    used = words.clock(item.get("counted_ms"))
    return f"{scope} {used} of {words.clock(item['limit_ms'])}" if used else f"{scope} in time"


def _prompts_kept(item: Json, terms: Terms) -> str:
    kind = "" if item["of"] == "total" else f"{item['of']} "
    return f"{item['counted']} of {item['allowed']} {kind}prompts used" if item["allowed"] else f"no {kind}prompt"


KEPT: dict[str, Callable[[Json, Terms], str]] = {
    "critical_met": lambda r, t: f"{r['count']} of {r['of']} critical steps performed",
    "no_breach": lambda r, t: "no breach",
    "all_done": lambda r, t: f"all {r['count']} steps done",
    "stated_right": lambda r, t: f"{label_text(r, t)} {words.value(r['number'], r['unit'])} right",
    "step_settled": lambda r, t: f"step {t.step(r['step'])} performed",
    "order_kept": lambda r, t: f"step {t.step(r['before'])} before {t.step(r['after'])}",
    "gap_kept": lambda r, t: f"time between {steps_text(r, t, 'from', 'to')} kept",
    "time_kept": _time_kept,
    "score_reached": lambda r, t: f"score {score_text(r, t)}, cut {cut_text(r)}",
    "prompts_kept": _prompts_kept,
    "discrepancy_caught": lambda r, t: f"planted fault caught: {r['which']}",
    "identity_seen": lambda r, t: "identity seen" + (f" ({r['how']})" if r.get("how") else ""),
}
