"""Reasons of a decision in sentences. Pure; what was kept stands in ``kept_words``.

    terms = Terms.of(sections, rule, checks)
    in_words(reason, terms) -> {"title", "detail", "evidence", "number", "critical", "icon", "decides"}

The reason comes first and the step's number beside it. The tablet says the same in ``static/js/sheet/sentences.js``.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from checkoffs.records import paper_words as words
from checkoffs.records.kept_words import BY, cut_text, label_text, score_text, steps_text
from checkoffs.records.terms import Terms
from checkoffs.scoring.sentences import length

Json = Mapping[str, Any]
BREACHES = {"asepsis": "Asepsis", "safety": "Safety"}
ICONS = {
    "breach_unnoticed": "breach",
    "breach_uncorrected": "breach",
    "breach_corrected": "breach",
    "breach_unclear": "breach",
    "safety_stop": "breach",
    "stopped": "lapse",
    "time_over": "lapse",
    "step_late": "lapse",
    "time_unclear": "lapse",
    "step_time_unclear": "lapse",
    "prompts_exceeded": "prompt",
    "step_open": "open",
    "not_observed": "not_observed",
    "no_show": "booked",
    "lab_stop": "not_applicable",
    "outcome_differs": "moderation",
    "critical_differs": "moderation",
}


def in_words(reason: Json, terms: Terms) -> dict[str, Any]:
    """One reason in words; see the module's docstring."""
    said = TITLES.get(reason["code"])
    title, detail = said(reason, terms) if said else (reason["code"].replace("_", " ").capitalize(), "")
    step = reason.get("step") or _step_of_check(reason, terms)
    why = terms.steps[step].get("critical_reason", "") if step and reason.get("critical") else ""
    parts = [_sentence(part) for part in (detail, why if reason.get("decides") else "", _settled(reason)) if part]
    return {
        "title": title,
        "detail": " ".join(parts),
        "evidence": _evidence(reason),
        "number": terms.step(step),
        "critical": bool(reason.get("critical")),
        "icon": ICONS.get(reason["code"]) or reason.get("mark") or "not_performed",
        "decides": bool(reason.get("decides")),
    }


def _step_of_check(reason: Json, terms: Terms) -> str | None:
    checks = {check["id"]: check.get("step") for check in terms.rule.get("stated", [])}
    return checks.get(reason.get("check", ""))


def _sentence(text: str) -> str:
    return text if text[-1] in ".!?”" else f"{text}."


def _settled(reason: Json) -> str:
    settled = reason.get("settled")
    return f"{BY[settled['by']].capitalize()}: {settled['reason']}" if settled else ""


def _evidence(reason: Json) -> str:
    mark = words.MARKS.get(reason["mark"], "") if reason.get("mark") else ""
    if reason["code"] in ("stated_wrong", "step_value_wrong"):
        mark = "stated wrong" if reason.get("number") else "not stated"
    if mark and reason.get("settled"):
        mark = f"marked {mark}, settled {words.SETTLED.get(reason['settled']['verdict'], '')}"
    time = words.clock(reason.get("at_ms"))
    parts = ["critical" if reason.get("critical") else "", mark]
    said = ", ".join(part for part in parts if part)
    return f"{said}, {time}" if said and time else said or time


def _step(detail: str = "") -> Callable[[Json, Terms], tuple[str, str]]:
    return lambda reason, terms: (terms.text(reason["step"]), detail)


def _breach(after: str) -> Callable[[Json, Terms], tuple[str, str]]:
    def said(reason: Json, terms: Terms) -> tuple[str, str]:
        where = f"At step {terms.step(reason['step'])}: {terms.text(reason['step'])}" if reason.get("step") else ""
        return f"{BREACHES[reason['breach_kind']]} broken, {after}", where

    return said


def _stated_wrong(reason: Json, terms: Terms) -> tuple[str, str]:
    check = terms.checks[reason["check"]]
    if reason.get("number") is None:
        return f"{check['label']} not stated", "It was asked for and not said"
    expected = f", expected {check['expected']}" if check["expected"] else ""
    slip = terms.slips.get(reason["check"])
    title = f"{check['label']} stated {words.value(reason['number'], reason['unit'])}{expected}"
    return title, f"Likely slip: {slip}" if slip else ""


def _order_broken(reason: Json, terms: Terms) -> tuple[str, str]:
    title = f"Order broken: step {terms.step(reason['before'])} before step {terms.step(reason['after'])}"
    if reason.get("before_ms") is None:
        return title, f"Step {terms.step(reason['before'])} was never seen done before it"
    if not reason.get("settled") and reason["before_ms"] <= reason["after_ms"]:  # marked in time, but not as done
        return (
            title,
            f"Step {terms.step(reason['before'])} was not done; {terms.step(reason['after'])} was, all the same",
        )
    return title, f"Done at {words.clock(reason['before_ms'])} and {words.clock(reason['after_ms'])}"


def _gap(much: str) -> Callable[[Json, Terms], tuple[str, str]]:
    def said(reason: Json, terms: Terms) -> tuple[str, str]:
        asked = "at_least_ms" if much == "little" else "at_most_ms"
        bound = f"at {'least' if much == 'little' else 'most'} {length(reason[asked])}"
        return (
            f"Too {much} time between {steps_text(reason, terms, 'from', 'to')}",
            f"{length(reason['gap_ms'])}, {bound}",
        )

    return said


def _took(reason: Json, terms: Terms) -> tuple[str, str]:
    least = reason["code"] == "step_too_short"
    bound = f"at least {length(reason['at_least_ms'])}" if least else f"at most {length(reason['at_most_ms'])}"
    return terms.text(reason["step"]), f"Took {length(reason['took_ms'])}, {bound}"


def _time_over(reason: Json, terms: Terms) -> tuple[str, str]:
    # Every millisecond is said: a time just over the limit must not look like the limit.
    used = "" if reason.get("counted_ms") is None else f"{length(reason['counted_ms'])} used, "
    return f"Time limit of {terms.scope(reason)} passed", f"{used}{length(reason['limit_ms'])} allowed"


def _time_unclear(reason: Json, terms: Terms) -> tuple[str, str]:
    what = terms.text(reason["step"]) if reason.get("step") else f"Time limit of {terms.scope(reason)}"
    return what, "Whether it was in time cannot be told"


def _prompts(reason: Json, terms: Terms) -> tuple[str, str]:
    kind = "" if reason["of"] == "total" else f"{reason['of']} "
    return f"{reason['counted']} {kind}prompts given, {reason['allowed']} allowed", ""


TITLES: dict[str, Callable[[Json, Terms], tuple[str, str]]] = {
    "critical_missed": _step("A critical step must be performed"),
    "step_missed": _step(),
    "step_open": _step("It was never marked"),
    "not_observed": _step("Counted as performed and as not performed"),
    "step_late": _step("Done after the time limit"),
    "time_unclear": _time_unclear,
    "step_time_unclear": _step("Whether it was in time cannot be told"),
    "step_too_short": _took,
    "step_too_long": _took,
    "measured_out": lambda r, t: (
        t.text(r["step"]),
        f"Read {r['value']} {r['unit']}, expected {r['expected']} {r['unit']}",
    ),
    "measured_unit": lambda r, t: (t.text(r["step"]), f"Read in {r['unit']}, asked in {r['unit_expected']}"),
    "step_value_wrong": _step("The value stated with it is wrong"),
    "step_value_unclear": _step("The value stated with it has no verdict"),
    "stated_wrong": _stated_wrong,
    "stated_unclear": lambda r, t: (
        f"{label_text(r, t)}: no verdict",
        words.value(r["number"], r["unit"]).capitalize(),
    ),
    "verdict_differs": lambda r, t: (
        f"{label_text(r, t)}: two verdicts differ",
        "Two versions of the calculators disagree",
    ),
    "order_broken": _order_broken,
    "order_unclear": lambda r, t: (
        f"Order cannot be told: step {t.step(r['before'])} before step {t.step(r['after'])}",
        "",
    ),
    "gap_short": _gap("little"),
    "gap_long": _gap("much"),
    "gap_unclear": lambda r, t: (f"Time between {steps_text(r, t, 'from', 'to')} cannot be told", ""),
    "time_over": _time_over,
    "score_below": lambda r, t: (f"Score {score_text(r, t)}, below the cut", f"The cut is {cut_text(r)}"),
    "score_unclear": lambda r, t: (f"Score {score_text(r, t)}: cannot be told", f"The cut is {cut_text(r)}"),
    "score_empty": lambda r, t: ("No step counts for the score", ""),
    "prompts_exceeded": _prompts,
    "breach_unnoticed": _breach("not noticed"),
    "breach_uncorrected": _breach("noticed, not put right"),
    "breach_corrected": _breach("noticed and put right"),
    "breach_unclear": _breach("details open"),
    "safety_stop": lambda r, t: ("Stopped for safety", r.get("text") or ""),
    "lab_stop": lambda r, t: ("Stopped by the lab: the attempt does not count", r.get("text") or ""),
    "stopped": lambda r, t: ("Ended early", r.get("text") or ""),
    "identity_missing": lambda r, t: ("Identity not confirmed", ""),
    "discrepancy_missed": lambda r, t: (f"Planted fault not caught: {r['which']}", ""),
    "outcome_differs": lambda r, t: ("The two sheets differ in outcome", ""),
    "critical_differs": lambda r, t: (
        f"The two sheets differ at critical step {t.step(r['step'])}",
        t.text(r["step"]),
    ),
    "no_show": lambda r, t: ("The student did not come", ""),
}
