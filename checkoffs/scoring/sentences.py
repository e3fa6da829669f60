"""Plain-language sentences for reasons. The rule text in force is in ``rule_text``.

``sentence(reason, rule, texts)`` takes a reason (or a thing met) of a decision and the texts of the steps by id, and
gives one or two sentences with step numbers, units and times. Nothing is looked up elsewhere.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from checkoffs.scoring.reasons import FOUND, SENTENCES, SETTLED, WORDS
from checkoffs.scoring.rule import Rule, parse_rule

TIMES = ("took_ms", "at_least_ms", "at_most_ms", "gap_ms", "counted_ms", "limit_ms")


def sentence(reason: Mapping[str, Any], rule: Rule | Mapping[str, Any], texts: Mapping[str, str]) -> str:
    """One reason in words. Raises KeyError for a code that is not a reason."""
    parsed = rule if isinstance(rule, Rule) else parse_rule(rule)
    code = reason["code"]
    if code == "time_unclear" and "step" in reason:
        code = "step_time_unclear"
    said = SENTENCES[code].format_map(_places(reason, parsed, texts))
    return said + _settled(reason.get("settled"))


def step_name(rule: Rule, key: str, texts: Mapping[str, str]) -> str:
    """step 3, “Check the wrist band”"""
    text = texts.get(key)
    return f"step {rule.steps[key].number}" + (f", “{text}”" if text else "")


def section_name(rule: Rule, key: str | None) -> str:
    """section B, by position."""
    position = [section.id for section in rule.sections].index(key or "")
    return f"section {letters(position)}"


def letters(position: int) -> str:
    """A, B … Z, AA, AB …"""
    return (letters(position // 26 - 1) if position >= 26 else "") + chr(ord("A") + position % 26)


def length(ms: int | None) -> str:
    """A duration with every millisecond it has: 1 min 5.5 s. A time over a limit is never rounded to the limit."""
    if ms is None:
        return "an unknown time"
    minutes, rest = divmod(abs(ms), 60_000)
    seconds = f"{rest // 1000}.{rest % 1000:03d}".rstrip("0").rstrip(".")
    parts = [f"{minutes} min"] if minutes else []
    parts += [f"{seconds} s"] if rest or not minutes else []
    return ("−" if ms < 0 else "") + " ".join(parts)


def clock_time(ms: int) -> str:
    """A moment on the attempt clock, m:ss, the rest cut off."""
    return f"{ms // 60_000}:{ms // 1000 % 60:02d}"


def _places(reason: Mapping[str, Any], rule: Rule, texts: Mapping[str, str]) -> dict[str, str]:
    """Words for every place a sentence can have, from what the reason holds."""
    places = {key: str(value) for key, value in reason.items() if value is not None}
    places |= {key: length(reason.get(key)) for key in TIMES}
    for key in ("step", "before", "after", "from", "to"):
        if reason.get(key):
            places[key] = step_name(rule, reason[key], texts)
    for key in ("mark", "verdict", "breach_kind", "on_reaching"):
        places[key] = WORDS.get(reason.get(key) or "", "")
    if reason.get("settled"):
        # What holds is what was settled; what the log says follows in its own sentence.
        places["mark"] = places["verdict"] = WORDS[reason["settled"]["verdict"]]
    step = rule.steps.get(reason.get("step") or "")
    check = rule.check(reason.get("check") or "")
    at_ms = reason.get("at_ms")
    places |= {
        "at": "" if at_ms is None else f" at {clock_time(at_ms)}",
        "reason": f" {step.reason}" if step and step.critical and step.reason else "",
        "during": f" during {places['step']}" if step else "",
        "check": check.label if check else "",
        "number": _number(reason),
        "bounds": _bounds(reason),
        "limit": _limit(reason, rule),
        "text": f" “{reason['text']}”" if reason.get("text") else "",
        "how": f" ({reason['how']})" if reason.get("how") else "",
        "why": WORDS.get(f"why_{reason.get('why')}", ""),
        "stop_reason": WORDS.get(f"stop_{reason.get('reason')}", ""),
        "of_kind": WORDS.get(f"of_{reason.get('of')}", ""),
        "section": f" in {section_name(rule, reason['section'])}" if reason.get("section") else "",
        "score_unit": WORDS.get(reason.get("unit") or "", ""),
    }
    return places


def _number(reason: Mapping[str, Any]) -> str:
    if reason.get("number") is None:
        return "nothing recorded"
    return f"{reason['number']} {reason['unit']}" if reason.get("unit") else f"{reason['number']} (no unit said)"


def _bounds(reason: Mapping[str, Any]) -> str:
    least, most = reason.get("at_least_ms"), reason.get("at_most_ms")
    asked = [f"at least {length(least)}"] if least is not None else []
    asked += [f"at most {length(most)}"] if most is not None else []
    return f" ({', '.join(asked)})" if asked else ""


def _limit(reason: Mapping[str, Any], rule: Rule) -> str:
    scope = reason.get("scope")
    if scope == "section":
        return section_name(rule, reason["of"])
    return f"step {rule.steps[reason['of']].number}" if scope == "step" else "the whole attempt"


def _settled(settled: Mapping[str, Any] | None) -> str:
    if not settled:
        return ""
    found = FOUND.format(found=WORDS[settled["found"]]) if settled["found"] else ""
    verdict = WORDS[settled["verdict"]]
    return SETTLED.format(by=settled["by"], verdict=verdict, reason=settled["reason"], found=found)
