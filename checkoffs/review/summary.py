"""The one line under the outcome: how much decided it, and how the rest was. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from checkoffs.records import paper_words as words

NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")


def spelled(number: int) -> str:
    """A small number as a word."""
    return NUMBERS[number] if number < len(NUMBERS) else str(number)


def sentence(snapshot: Mapping[str, Any], missed: Sequence[Mapping[str, Any]], done: int, asked: int) -> str:
    """``Two critical steps decided it. The rest: 30 of 34 steps done as asked, 23:10 of 25:00.``"""
    if snapshot["attempt"]["no_show"]:
        return "The attempt was booked and nobody came. No step was seen."
    if snapshot["decision"]["outcome"] == "void":
        return "The lab ended the attempt; it does not count."
    return f"{_decided(snapshot, missed)} {_rest(snapshot, missed, done, asked)}"


def _decided(snapshot: Mapping[str, Any], missed: Sequence[Mapping[str, Any]]) -> str:
    deciding = [entry for entry in missed if entry["decides"]]
    if snapshot["decision"]["outcome"] == "satisfactory":
        return "The rule was met."
    critical = [e for e in deciding if e["critical"] and e["key"].startswith(("step:", "stated:"))]
    if deciding and len(critical) == len(deciding):
        return f"{spelled(len(critical)).capitalize()} critical step{'s' if len(critical) != 1 else ''} decided it."
    if not deciding:
        return "The rule was not met."
    return f"{spelled(len(deciding)).capitalize()} thing{'s' if len(deciding) != 1 else ''} decided it."


def _rest(snapshot: Mapping[str, Any], missed: Sequence[Mapping[str, Any]], done: int, asked: int) -> str:
    parts = [f"{done} of {asked} steps done as asked"]
    if snapshot["rule"].get("pairs") and not any(entry["key"].startswith("pair:") for entry in missed):
        parts.append("order kept")
    counted, limit = snapshot["decision"]["time"]["counted_ms"], snapshot["decision"]["time"]["limit_ms"]
    if counted is not None:
        parts.append(f"{words.clock(counted)} of {words.clock(limit)}" if limit else words.clock(counted))
    return ", ".join(parts).capitalize() + "."
