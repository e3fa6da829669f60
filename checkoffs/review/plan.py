"""What to do before the next attempt, drawn from what was missed; and what stands in the way of it. Pure.

The policy of a program is small here: after an unsatisfactory attempt that counts, what decided it has to be
practised and confirmed by an instructor, and the next attempt is not on the same day. Source: remediation before a
retest, with a block that can be overridden with a reason, is *common practice*; the day's distance is the project's.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

LONGEST = 300  # characters a task may have


@dataclass(frozen=True)
class Planned:
    """One task: ``key`` says of which miss, ``required`` whether the next attempt waits for it."""

    key: str
    step: str
    text: str
    detail: str
    required: bool


@dataclass(frozen=True)
class Leave:
    """Whether a further attempt that counts may be opened, from which day, and why not."""

    may: bool
    not_before: date | None
    because: str


def tasks(review: Mapping[str, Any]) -> list[Planned]:
    """The tasks of a review as ``missed.review_of`` gives it: required where the miss decided a counting attempt."""
    counts = review["outcome"] == "unsatisfactory" and not review["practice"]
    made = []
    for miss in review["missed"]:
        text, detail = _words(miss, review)
        if text:
            made.append(
                Planned(miss["key"], miss["step"] or "", _cut(text), _cut(detail), counts and miss["decides"])
            )
    return made


def _cut(text: str) -> str:
    return text if len(text) <= LONGEST else f"{text[: LONGEST - 1]}…"


def _words(miss: Mapping[str, Any], review: Mapping[str, Any]) -> tuple[str, str]:
    kind, _, key = miss["key"].partition(":")
    number, title = miss["number"], miss["title"]
    if kind == "step":
        return f"Practise step {number}: {title}", "Show it to an instructor" if miss["decides"] else ""
    if kind == "stated":
        value = next((item for item in review["values"] if item["id"] == key), None)
        slip = f"Look for this slip: {value['slip']}" if value and value["slip"] else "Say number and unit"
        return f"Work cases like yours: {value['label'] if value else key}", slip
    if kind in ("pair", "gap"):
        return f"Practise the order. {title}", ""
    if kind == "breach":
        where = f" at step {number}" if number else ""
        return f"Practise without a break{where}", title
    if kind == "limit":
        return "Practise the whole against the clock", title
    return ALONE.get(kind, ("", ""))


ALONE = {
    "score_below": ("Practise every step that was missed", "The score was below the cut"),
    "prompts_exceeded": ("Do the whole once without a prompt", "There were more prompts than the rule allows"),
    "safety_stop": ("Talk with an instructor about why it was stopped", "The attempt was ended for safety"),
    "stopped": ("Do the whole once to its end", "The attempt ended early"),
    "discrepancy_missed": ("Practise checking the order against what lies there", "A planted fault was not caught"),
}


def leave(outcome: str, number: int, on: date, still_open: Iterable[str], day_words: str) -> Leave:
    """What the last counting attempt leaves open. ``on``: its day where the program is; ``day_words``: the day after
    it in words; ``still_open``: the required tasks nobody has confirmed yet."""
    if outcome != "unsatisfactory":
        return Leave(True, None, "")
    waiting = len(list(still_open))
    later = f"not before {day_words}"
    if waiting:
        tasks_word = "task is" if waiting == 1 else "tasks are"
        return Leave(
            False,
            on + timedelta(days=1),
            f"Attempt {number} was unsatisfactory: {waiting} {tasks_word} still to be confirmed; {later}.",
        )
    return Leave(True, on + timedelta(days=1), f"Attempt {number} was unsatisfactory; the next one is {later}.")
