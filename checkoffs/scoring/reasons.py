"""Every code a decision can give, as a sentence with places for its numbers.

Keys of a reason beside ``code``, ``kind``, ``decides`` (and ``sheet`` where it is another sheet's):

- steps: ``step, critical, mark, at_ms`` and, by code, ``took_ms, at_least_ms, at_most_ms`` · ``value, unit, expected,
  tolerance, unit_expected`` · ``check``
- order: ``pair, before, after, before_ms, after_ms, critical`` · ``gap, from, to, gap_ms, at_least_ms, at_most_ms``
- time: ``limit, scope, of, counted_ms, limit_ms, on_reaching``; stopped: ``reason, text``
- stated: ``check, critical, number, unit, at_ms, verdict, why`` (not_stated, no_verdict, unreadable, overruled)
- safety: ``breach, breach_kind, step, at_ms, noticed, corrected`` · ``text`` · ``which``
- score: ``section, unit, low, high, cut`` · prompts: ``of, counted, allowed`` · identity: ``how``
- disagreement: ``outcomes`` or ``step, marks``, by sheet id
- any of them, where somebody settled it: ``settled: {verdict, reason, by, found}``

The tablet words its preview itself, shorter, from the same codes; the record and the pages use these.
"""

from __future__ import annotations

SENTENCES: dict[str, str] = {
    "critical_missed": "Critical step {mark}: {step}{at}.{reason}",
    "step_missed": "Step {mark}: {step}{at}.",
    "step_late": "Done after the time limit: {step}{at}. It counts as not performed.{reason}",
    "step_too_short": "Too short: {step} took {took_ms}; at least {at_least_ms} is asked.{reason}",
    "step_too_long": "Too long: {step} took {took_ms}; at most {at_most_ms} is allowed.{reason}",
    "measured_out": "Out of tolerance: {value} {unit} against {expected} {unit}, with {tolerance} {unit} allowed "
    "either way, at {step}.{reason}",
    "measured_unit": "Measured in {unit} instead of {unit_expected}: {step}.{reason}",
    "step_value_wrong": "Not earned, because the stated value “{check}” was not right: {step}.",
    "step_value_unclear": "Cannot be told while the stated value “{check}” has no verdict: {step}.",
    "step_open": "Not marked: {step}.",
    "not_observed": "Not observed: {step}. It was counted as performed and as not performed.",
    "step_time_unclear": "Cannot be told whether it was in time: {step}.",
    "step_settled": "Settled: {step}.",
    "critical_met": "Critical steps satisfied: {count} of {of}.",
    "order_kept": "Order kept: {before}, then {after}.",
    "order_broken": "Order broken: {after} needs {before} first.",
    "order_unclear": "Order cannot be told: {before}, then {after}.",
    "gap_kept": "Time between kept: {gap_ms} from {from} to {to}{bounds}.",
    "gap_short": "Time between too short: {gap_ms} from {from} to {to}{bounds}.",
    "gap_long": "Time between too long: {gap_ms} from {from} to {to}{bounds}.",
    "gap_unclear": "Time between cannot be told: from {from} to {to}{bounds}.",
    "time_kept": "Time kept: {limit} took {counted_ms} of {limit_ms}.",
    "time_over": "Time limit passed: {limit} took {counted_ms} of {limit_ms}.{on_reaching}",
    "time_unclear": "Cannot be told whether the time limit of {limit_ms} was kept by {limit}.",
    "stated_right": "Stated value right: “{check}”, {number}.",
    "stated_wrong": "Stated value {verdict}: “{check}”, {number}.",
    "stated_unclear": "Stated value without a verdict: “{check}”, {number}. {why}",
    "verdict_differs": "Two verdicts on the stated value “{check}”, {number}, disagree. An instructor decides.",
    "no_breach": "No breach of asepsis or safety was seen.",
    "breach_corrected": "Breach of {breach_kind}{at}{during}, noticed and corrected.",
    "breach_unnoticed": "Breach of {breach_kind} not noticed by the student{at}{during}.",
    "breach_uncorrected": "Breach of {breach_kind} noticed but not corrected{at}{during}.",
    "breach_unclear": "Breach of {breach_kind}{at}{during}; whether it was noticed and corrected is not recorded.",
    "safety_stop": "Ended by the evaluator for safety.{text}",
    "stopped": "Ended early{stop_reason}.{text}",
    "lab_stop": "Ended for a reason of the lab's own; the attempt does not count.{text}",
    "discrepancy_caught": "Planted discrepancy caught: {which}.",
    "discrepancy_missed": "Planted discrepancy not caught: {which}.",
    "prompts_kept": "Prompts{of_kind}: {counted} of {allowed} allowed.",
    "prompts_exceeded": "Too many prompts{of_kind}: {counted}; {allowed} allowed.",
    "identity_seen": "Identity confirmed{how}.",
    "identity_missing": "Identity of the student was not confirmed.",
    "score_reached": "Score reached{section}: {low} {score_unit}; {cut} {score_unit} is asked.",
    "score_below": "Score not reached{section}: {high} {score_unit}; {cut} {score_unit} is asked.",
    "score_unclear": "Score cannot be told{section}: from {low} to {high} {score_unit}; {cut} {score_unit} is asked.",
    "score_empty": "Score cannot be told{section}: no step counted.",
    "all_done": "Every step is satisfied.",
    "no_show": "The student did not come.",
    "outcome_differs": "The evaluators' sheets lead to different outcomes.",
    "critical_differs": "The evaluators differ on a critical step: {step}.",
}
WORDS: dict[str, str] = {
    "performed": "performed",
    "self_corrected": "self-corrected",
    "prompted": "performed only after a prompt",
    "said": "said but not done",
    "not_performed": "not performed",
    "not_observed": "not observed",
    "not_applicable": "not applicable",
    "right": "right",
    "right_other_rounding": "rounded otherwise than asked",
    "wrong": "wrong",
    "wrong_unit": "in the wrong unit",
    "missing_unit": "without a unit",
    "unreadable": "unreadable",
    "kept": "kept",
    "broken": "broken",
    "in_time": "in time",
    "late": "late",
    "asepsis": "asepsis",
    "safety": "safety",
    "why_unreadable": "It cannot be read.",
    "why_not_stated": "Nothing was recorded.",
    "why_no_verdict": "It has not been verified yet.",
    "why_overruled": "The evaluator overruled the verdict; an instructor decides.",
    "fail": "",
    "fail_unfinished": " What was done later counts as not performed.",
    "record": " It is recorded only.",
    "stop_time": " because time was up",
    "stop_student": " at the student's wish",
    "of_time": " about time",
    "of_general": " of the general kind",
    "of_specific": " of the specific kind",
    "of_total": "",
    "percent": "%",
    "points": "points",
}
SETTLED = " The {by} settled it as {verdict}: “{reason}”.{found}"
FOUND = " The log says: {found}."
