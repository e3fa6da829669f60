"""Each step judged: done, missed or not to be told, why, and the credit it earns at worst and at best."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from checkoffs.scoring.exact import decimal, plain
from checkoffs.scoring.finding import Finding, Json, Settlements
from checkoffs.scoring.limits import Judged, step_in_time
from checkoffs.scoring.rule_parts import Rule, Step
from checkoffs.scoring.state import SheetState, StepState
from checkoffs.scoring.stated import DONE


@dataclass(frozen=True)
class StepJudgement:
    """satisfied: True, False, None = cannot be told. counts: False leaves the score's denominator.

    low, high: share of the step's points at worst and at best. why: the code of what was missed or is open, "" if
    nothing. data: numbers that go with it. done: whether the deed itself was seen (for order), None = cannot be told.
    """

    satisfied: bool | None
    counts: bool
    low: Fraction
    high: Fraction
    why: str
    data: Json
    done: bool | None


def judge_steps(
    rule: Rule,
    state: SheetState,
    limits: tuple[Judged, ...],
    verdicts: Mapping[str, bool | None],
    settlements: Settlements,
) -> dict[str, StepJudgement]:
    """Every step of the rule. ``verdicts``: for each stated value, whether it was right (None = cannot be told)."""
    return {key: _judge(step, rule, state, limits, verdicts, settlements) for key, step in rule.steps.items()}


def step_finding(
    step: Step, judged: StepJudgement, rule: Rule, state: SheetState, settlements: Settlements
) -> Finding | None:
    """What is to be said of one step; None for a satisfied one (they are counted together)."""
    decides = not step.optional and ((step.critical and rule.critical_all) or rule.score.kind == "all")
    data: Json = {"code": judged.why, "kind": _kind(step, judged), "step": step.id, "critical": step.critical}
    data |= {"mark": state.steps[step.id].mark, "at_ms": state.steps[step.id].at_ms} | judged.data
    data |= settlements.shown("step", step.id, state.steps[step.id].mark)
    data |= settlements.shown("time", step.id, None) if judged.why == "step_late" else {}
    if judged.satisfied is True and "settled" in data:
        return Finding(True, decides, data | {"code": "step_settled"})
    if judged.satisfied is True or (step.optional and judged.why != "not_observed" and judged.satisfied is None):
        return None
    if judged.satisfied is None:
        about = "time" if judged.why == "time_unclear" else "step"
        settle = (about, step.id, judged.why) if judged.why in ("step_open", "time_unclear") else None
        return Finding(None, decides, data, settle)
    return Finding(False, decides, data)


def _kind(step: Step, judged: StepJudgement) -> str:
    if judged.why in ("step_late", "time_unclear"):
        return "time"
    if judged.why == "not_observed":
        return "not_observed"
    return "critical" if step.critical else "score"


def _judge(
    step: Step,
    rule: Rule,
    state: SheetState,
    limits: tuple[Judged, ...],
    verdicts: Mapping[str, bool | None],
    settlements: Settlements,
) -> StepJudgement:
    seen = state.steps[step.id]
    settled = settlements.verdict("step", step.id)
    best, worst = _credit(rule, "performed", 1), _credit(rule, "not_performed", 0)
    if settled == "performed":
        return StepJudgement(True, True, best, best, "", {}, True)
    if settled == "not_performed":
        return _missed(step, worst)
    if seen.mark == "not_applicable":
        return StepJudgement(True, False, Fraction(0), Fraction(0), "", {}, None)
    if seen.mark is None or seen.mark == "not_observed":
        why = "step_open" if seen.mark is None else "not_observed"
        return StepJudgement(None, True, min(worst, best), best, why, {}, None)
    mark = rule.marks[seen.mark]
    done = seen.mark in DONE or (seen.mark == "said" and mark.satisfies)
    if not done:
        return StepJudgement(mark.satisfies, True, mark.credit, mark.credit, _why(step), {}, False)
    spoilt, why, data = _spoilt(step, seen, rule, state, limits, verdicts, settlements)
    if spoilt is False:
        return StepJudgement(False, True, worst, worst, why, data, True)
    if spoilt is None:
        satisfied = None if mark.satisfies else False
        return StepJudgement(satisfied, True, worst, mark.credit, why, data, True)
    return StepJudgement(mark.satisfies, True, mark.credit, mark.credit, _why(step), {}, True)


def _missed(step: Step, credit: Fraction) -> StepJudgement:
    return StepJudgement(False, True, credit, credit, _why(step), {}, False)


def _why(step: Step) -> str:
    return "critical_missed" if step.critical else "step_missed"


def _credit(rule: Rule, code: str, default: int) -> Fraction:
    return rule.marks[code].credit if code in rule.marks else Fraction(default)


def _spoilt(
    step: Step,
    seen: StepState,
    rule: Rule,
    state: SheetState,
    limits: tuple[Judged, ...],
    verdicts: Mapping[str, bool | None],
    settlements: Settlements,
) -> tuple[bool | None, str, Json]:
    """Whether a done step holds under time, stopwatch, measure and stated value; the first that does not says why."""
    in_time = step_in_time(step.id, state, limits, settlements)
    timed, timed_why, timed_data = _timed(step, seen, state)
    measured, measured_why, measured_data = _measured(step, seen)
    linked = [check for check in rule.stated if check.step == step.id and check.must_be_right and not check.critical]
    value = {check.id: verdicts[check.id] for check in linked}
    wrong = next((key for key, ok in value.items() if ok is False), None)
    unclear = next((key for key, ok in value.items() if ok is None), None)
    answers: list[tuple[bool | None, str, Json]] = [
        (in_time, "step_late" if in_time is False else "time_unclear", {}),
        (timed, timed_why, timed_data),
        (measured, measured_why, measured_data),
        (
            False if wrong else None if unclear else True,
            "step_value_wrong" if wrong else "step_value_unclear",
            {"check": wrong or unclear},
        ),
    ]
    failed = next((answer for answer in answers if answer[0] is False), None)
    return failed or next((answer for answer in answers if answer[0] is None), (True, "", {}))


def _timed(step: Step, seen: StepState, state: SheetState) -> tuple[bool | None, str, Json]:
    if step.timed is None or seen.timed is None:
        return True, "", {}
    span = state.clock.span(seen.timed["start_ms"], seen.timed["stop_ms"])
    least, most = step.timed.at_least_ms, step.timed.at_most_ms
    took = {"took_ms": span.low if span.high is None else span.high, "at_least_ms": least, "at_most_ms": most}
    if least is not None and span.high is not None and span.high < least:
        return False, "step_too_short", took
    if most is not None and span.low > most:
        return False, "step_too_long", took
    sure = (least is None or span.low >= least) and (most is None or span.within(most) is True)
    return (True, "", {}) if sure else (None, "time_unclear", took)


def _measured(step: Step, seen: StepState) -> tuple[bool, str, Json]:
    """Within tolerance of the evaluator's own value, or of a numeric target when the evaluator gave none."""
    if step.measured is None or seen.measured is None:
        return True, "", {}
    expected = seen.measured["expected"] or step.measured.target
    data = {**seen.measured, "expected": expected}
    if seen.measured["unit"] != step.measured.unit:
        return False, "measured_unit", data | {"unit_expected": step.measured.unit}
    value, aim = decimal(seen.measured["value"]), decimal(expected) if expected else None
    tolerance = step.measured.tolerance
    if value is None or aim is None or tolerance is None or abs(value - aim) <= tolerance:
        return True, "", {}
    return False, "measured_out", data | {"tolerance": plain(tolerance)}
