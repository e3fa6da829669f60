"""Order: pairs (after needs before first) and gaps (counted time between two steps).

Judged from when the two steps were performed. ``after`` done while ``before`` was never done breaks the pair as well.
A caught-up mark has no place in the order: the pair cannot be told, and the evaluator settles it where it decides.
A pair with a step that does not apply, or whose ``after`` was not done, asks nothing.
"""

from __future__ import annotations

from collections.abc import Mapping

from checkoffs.scoring.finding import Finding, Json, Settlements
from checkoffs.scoring.rule_parts import Gap, Pair, Rule
from checkoffs.scoring.state import SheetState
from checkoffs.scoring.stated import DONE
from checkoffs.scoring.steps import StepJudgement

Steps = Mapping[str, StepJudgement]
WORDS = {True: "kept", False: "broken", None: None}


def order_findings(rule: Rule, state: SheetState, steps: Steps, settlements: Settlements) -> list[Finding]:
    """One finding for each pair and gap that asks something."""
    findings = [_pair(pair, state, steps, settlements) for pair in rule.pairs]
    findings += [_gap(gap, state, steps, settlements) for gap in rule.gaps]
    return [finding for finding in findings if finding is not None]


def _pair(pair: Pair, state: SheetState, steps: Steps, settlements: Settlements) -> Finding | None:
    before, after = state.steps[pair.before], state.steps[pair.after]
    asks = steps[pair.after].done is True and before.mark != "not_applicable"
    settled = settlements.verdict("pair", pair.id)
    if not asks and settled is None:
        return None
    found, why = (_pair_found(pair, state, steps)) if asks else (None, "")
    kept = found if settled is None else settled == "kept"
    code = {True: "order_kept", False: "order_broken", None: "order_unclear"}[kept]
    data: Json = {
        "code": code,
        "kind": "order",
        "pair": pair.id,
        "before": pair.before,
        "after": pair.after,
        "before_ms": before.at_ms,
        "after_ms": after.at_ms,
        "critical": pair.critical,
    } | settlements.shown("pair", pair.id, WORDS[found])
    settle = ("pair", pair.id, why) if kept is None and pair.critical and why == "caught_up" else None
    return Finding(kept, pair.critical, data, settle)


def _pair_found(pair: Pair, state: SheetState, steps: Steps) -> tuple[bool | None, str]:
    before, after = state.steps[pair.before], state.steps[pair.after]
    if steps[pair.before].done is None:
        return None, "not_seen"
    if steps[pair.before].done is False:
        return False, ""
    if _untimed(pair.before, state) or _untimed(pair.after, state):
        return None, "caught_up"
    return before.position < after.position, ""


def _gap(gap: Gap, state: SheetState, steps: Steps, settlements: Settlements) -> Finding | None:
    settled = settlements.verdict("gap", gap.id)
    asks = steps[gap.start].done is True and steps[gap.stop].done is True
    if not asks and settled is None:
        return None
    found, gap_ms, why = _gap_found(gap, state) if asks else (None, None, "")
    kept = (None if found is None else found == "kept") if settled is None else settled == "kept"
    short = found == "short" or (gap_ms is not None and gap_ms < (gap.bounds.at_least_ms or 0))
    code = {True: "gap_kept", False: "gap_short" if short else "gap_long", None: "gap_unclear"}[kept]
    data: Json = {
        "code": code,
        "kind": "order",
        "gap": gap.id,
        "from": gap.start,
        "to": gap.stop,
        "gap_ms": gap_ms,
        "at_least_ms": gap.bounds.at_least_ms,
        "at_most_ms": gap.bounds.at_most_ms,
        "critical": gap.critical,
    } | settlements.shown("gap", gap.id, None if found is None else "kept" if found == "kept" else "broken")
    settle = ("gap", gap.id, why) if kept is None and gap.critical and why else None
    return Finding(kept, gap.critical, data, settle)


def _gap_found(gap: Gap, state: SheetState) -> tuple[str | None, int | None, str]:
    """kept | short | long | None, the gap in counted milliseconds, and why it cannot be told."""
    start, stop = state.steps[gap.start].raw_ms, state.steps[gap.stop].raw_ms
    if _untimed(gap.start, state) or _untimed(gap.stop, state) or start is None or stop is None:
        return None, None, "caught_up"
    span = state.clock.span(start, stop)
    shown = span.low if span.high is None else span.high
    least, most = gap.bounds.at_least_ms, gap.bounds.at_most_ms
    if least is not None and span.high is not None and span.high < least:
        return "short", shown, ""
    if most is not None and span.low > most:
        return "long", shown, ""
    sure = (least is None or span.low >= least) and (most is None or span.within(most) is True)
    return ("kept", shown, "") if sure else (None, shown, "time_unclear")


def _untimed(step: str, state: SheetState) -> bool:
    """No place in the order: caught up, or called done by a settlement and never marked so."""
    seen = state.steps[step]
    return seen.caught_up or seen.mark not in (*DONE, "said") or seen.raw_ms is None
