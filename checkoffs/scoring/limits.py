"""Time limits: was one reached, and which steps came after it.

The whole attempt runs from start to end. A section or a step runs from the last mark before it (of another step or
section, not caught up; the start when there is none) to its own last mark; a stopwatch reading of a step goes first.
Exactly at the limit is in time. A caught-up mark says nothing by its tap: its ``in_time`` does.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from checkoffs.scoring.clock import Span
from checkoffs.scoring.finding import Finding, Settlements
from checkoffs.scoring.rule_parts import Limit, Rule
from checkoffs.scoring.state import SheetState, StepState
from checkoffs.scoring.stated import DONE

SAID: Mapping[str | None, bool | None] = {"yes": True, "no": False}


@dataclass(frozen=True)
class Judged:
    """One limit as it applies here. in_time: None = cannot be told; counts = there is something to judge."""

    limit: Limit
    limit_ms: int
    from_ms: int | None
    span: Span | None
    found: bool | None
    in_time: bool | None
    counts: bool
    steps: tuple[str, ...]

    def finding(self, settlements: Settlements) -> Finding | None:
        """The limit's own finding; None when nothing can be said yet."""
        if not self.counts:
            return None
        fails = self.limit.on_reaching == "fail"
        code = {True: "time_kept", False: "time_over", None: "time_unclear"}[self.in_time]
        words = {True: "in_time", False: "late", None: None}[self.found]
        data = {
            "code": code,
            "kind": "time",
            "limit": self.limit.id,
            "scope": self.limit.scope,
            "of": self.limit.of,
            "counted_ms": (self.span.low if self.span.high is None else self.span.high) if self.span else None,
            "limit_ms": self.limit_ms,
            "on_reaching": self.limit.on_reaching,
        } | settlements.shown("time", self.limit.id, words)
        settle = ("time", self.limit.id, "time_unclear") if self.in_time is None and fails else None
        return Finding(self.in_time, fails, data, settle)


def judge_limits(rule: Rule, state: SheetState, factor: Fraction, settlements: Settlements) -> tuple[Judged, ...]:
    """Every limit of the rule, scaled where it may be, judged on one sheet."""
    return tuple(_judge(limit, rule, state, factor, settlements) for limit in rule.limits)


def step_in_time(key: str, state: SheetState, limits: tuple[Judged, ...], settlements: Settlements) -> bool | None:
    """Whether a done step came before every limit that fails what is unfinished; None when it cannot be told."""
    settled = settlements.verdict("time", key)
    if settled is not None:
        return settled == "in_time"
    answers = [
        _one_in_time(state.steps[key], state, judged, settlements)
        for judged in limits
        if judged.limit.on_reaching == "fail_unfinished" and key in judged.steps
    ]
    return False if False in answers else None if None in answers else True


def _judge(limit: Limit, rule: Rule, state: SheetState, factor: Fraction, settlements: Settlements) -> Judged:
    limit_ms = int(limit.limit_ms * factor) if limit.scalable else limit.limit_ms
    steps = _steps(limit, rule)
    from_ms, to_ms = _window(limit, rule, state, steps)
    span = state.clock.span(from_ms, to_ms) if from_ms is not None and to_ms is not None else None
    if limit.scope == "whole":
        answers = [span.within(limit_ms) if span else None] if state.clock.ended or span else []
        # Still running and not over: nothing to say yet.
        if not state.clock.ended and answers != [False]:
            answers = []
    else:
        answers = [span.within(limit_ms)] if span else []
        answers += [SAID.get(step.in_time) for step in _caught_up(state, steps)]
    found = False if False in answers else None if None in answers else True
    settled = settlements.verdict("time", limit.id)
    in_time = found if settled is None else settled == "in_time"
    counts = bool(answers) or settled is not None
    return Judged(limit, limit_ms, from_ms, span, found, in_time, counts, steps)


def _steps(limit: Limit, rule: Rule) -> tuple[str, ...]:
    if limit.scope == "whole":
        return tuple(rule.steps)
    if limit.scope == "step":
        return (limit.of or "",)
    return next(section.steps for section in rule.sections if section.id == limit.of)


def _window(limit: Limit, rule: Rule, state: SheetState, steps: tuple[str, ...]) -> tuple[int | None, int | None]:
    clock = state.clock
    if limit.scope == "whole":
        started = None if clock.status == "not_started" else clock.start_ms or 0
        return started, clock.end_ms if clock.ended else clock.latest_ms
    timed = state.steps[steps[0]].timed if limit.scope == "step" else None
    if timed:
        return timed["start_ms"], timed["stop_ms"]
    own = [state.steps[key] for key in steps if _timed_mark(state.steps[key])]
    if not own:
        return None, None
    first = min(step.position for step in own)
    others = [
        state.steps[key]
        for key in rule.steps
        if key not in steps and _timed_mark(state.steps[key]) and state.steps[key].position < first
    ]
    last_before = max(others, key=lambda step: step.position, default=None)
    return (
        last_before.raw_ms if last_before else clock.start_ms or 0,
        max(own, key=lambda step: step.position).raw_ms,
    )


def _timed_mark(step: StepState) -> bool:
    return step.mark in DONE and not step.caught_up


def _caught_up(state: SheetState, steps: tuple[str, ...]) -> list[StepState]:
    return [state.steps[key] for key in steps if state.steps[key].mark in DONE and state.steps[key].caught_up]


def _one_in_time(step: StepState, state: SheetState, judged: Judged, settlements: Settlements) -> bool | None:
    if settlements.verdict("time", judged.limit.id) == "in_time":
        return True
    if step.caught_up:
        # What ended before the limit was done before it, whatever was caught up afterwards.
        whole_in_time = judged.limit.scope == "whole" and judged.counts and judged.in_time is True
        return SAID.get(step.in_time, True if whole_in_time else None)
    if step.raw_ms is None:
        return None
    from_ms = state.clock.start_ms or 0 if judged.from_ms is None else judged.from_ms
    return state.clock.span(from_ms, step.raw_ms).within(judged.limit_ms)
