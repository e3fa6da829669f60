// Each step judged. Twin of checkoffs/scoring/steps.py, which says why.
import { shownSpan, span, within } from "./clock.js";
import { add, compare, decimal, minus } from "./decimal.js";
import { stepInTime } from "./limits.js";
import { overruled, verdictOn } from "./settlements.js";
import { DONE } from "./stated.js";

const ZERO = [0n, 0];
const credit = (rule, code, otherwise) => decimal(rule.marks[code]?.credit ?? otherwise);
const missed = (step) => (step.critical ? "critical_missed" : "step_missed");

/** {id: {satisfied, counts, low, high, why, data, done}} */
export function judgeSteps(rule, state, limits, answers, by) {
  return Object.fromEntries(rule.order.map((id) => [id, judge(rule.steps[id], rule, state, limits, answers, by)]));
}

/** What is to be said of one step; null for a satisfied one. */
export function stepFinding(step, judged, rule, state, by) {
  const seen = state.steps[step.id];
  const decides = !step.optional && ((step.critical && rule.critical_all) || rule.score.kind === "all");
  const { satisfied, why } = judged;
  const data = {
    code: why,
    kind: kindOf(step, why),
    step: step.id,
    critical: step.critical,
    mark: seen.mark,
    at_ms: seen.at_ms,
    ...judged.data,
    ...overruled(by, "step", step.id, seen.mark),
    ...(why === "step_late" ? overruled(by, "time", step.id, null) : {}),
  };
  if (satisfied === true)
    return data.settled ? { met: true, decides, data: { ...data, code: "step_settled" } } : null;
  if (satisfied === false) return { met: false, decides, data };
  if (step.optional && why !== "not_observed") return null;
  const settle = { step_open: ["step", step.id, why], time_unclear: ["time", step.id, why] }[why] ?? null;
  return { met: null, decides, data, settle };
}

function kindOf(step, why) {
  if (why === "step_late" || why === "time_unclear") return "time";
  return why === "not_observed" ? why : step.critical ? "critical" : "score";
}

function judge(step, rule, state, limits, answers, by) {
  const seen = state.steps[step.id];
  const [best, worst] = [credit(rule, "performed", "1"), credit(rule, "not_performed", "0")];
  const judged = (satisfied, low, high, why, done, data = {}, counts = true) => ({
    satisfied, counts, low, high, why, data, done,
  });
  const settled = verdictOn(by, "step", step.id);
  if (settled === "performed") return judged(true, best, best, "", true);
  if (settled === "not_performed") return judged(false, worst, worst, missed(step), false);
  if (seen.mark === "not_applicable") return judged(true, ZERO, ZERO, "", null, {}, false);
  if (seen.mark === null || seen.mark === "not_observed")
    return judged(null, compare(worst, best) < 0 ? worst : best, best, seen.mark ?? "step_open", null);
  const mark = rule.marks[seen.mark];
  const own = decimal(mark.credit);
  const done = DONE.includes(seen.mark) || (seen.mark === "said" && mark.satisfies);
  const [holds, why, data] = done ? spoilt(step, seen, rule, state, limits, answers, by) : [true];
  if (holds === false) return judged(false, worst, worst, why, true, data);
  if (holds === null) return judged(mark.satisfies ? null : false, worst, own, why, true, data);
  return judged(mark.satisfies, own, own, missed(step), done);
}

/** [holds, why, data] of a done step under time, stopwatch, measure and stated value. */
function spoilt(step, seen, rule, state, limits, answers, by) {
  const inTime = stepInTime(step.id, state, limits, by);
  const linked = rule.stated.filter((check) => check.step === step.id && check.must_be_right && !check.critical);
  const wrong = linked.find((check) => answers[check.id] === false);
  const unclear = linked.find((check) => answers[check.id] === null);
  const value = wrong
    ? [false, "step_value_wrong", { check: wrong.id }]
    : unclear
      ? [null, "step_value_unclear", { check: unclear.id }]
      : [true];
  const found = [
    [inTime, inTime === false ? "step_late" : "time_unclear", {}],
    timed(step, seen, state),
    measured(step, seen),
    value,
  ];
  return found.find(([holds]) => holds === false) ?? found.find(([holds]) => holds === null) ?? [true];
}

/** Whether a span lies within bounds: [holds, short]. */
export function bounded(part, least, most) {
  if (least !== null && part.high !== null && part.high < least) return [false, true];
  if (most !== null && part.low > most) return [false, false];
  const sure = (least === null || part.low >= least) && (most === null || within(part, most) === true);
  return [sure || null, false];
}

function timed(step, seen, { clock }) {
  if (!step.timed || !seen.timed) return [true];
  const part = span(clock, seen.timed.start_ms, seen.timed.stop_ms);
  const [least, most] = [step.timed.at_least_ms ?? null, step.timed.at_most_ms ?? null];
  const [holds, short] = bounded(part, least, most);
  const why = holds === null ? "time_unclear" : short ? "step_too_short" : "step_too_long";
  return [holds, why, { took_ms: shownSpan(part), at_least_ms: least, at_most_ms: most }];
}

function measured(step, seen) {
  if (!step.measured || !seen.measured) return [true];
  const expected = seen.measured.expected || (step.measured.target ?? null);
  const data = { ...seen.measured, expected };
  if (seen.measured.unit !== step.measured.unit)
    return [false, "measured_unit", { ...data, unit_expected: step.measured.unit }];
  const [value, aim] = [decimal(seen.measured.value), expected ? decimal(expected) : null];
  const tolerance = decimal(step.measured.tolerance ?? null);
  if (!value || !aim || !tolerance) return [true];
  let off = add(value, minus(aim));
  if (off[0] < 0n) off = minus(off);
  if (compare(off, tolerance) <= 0) return [true];
  return [false, "measured_out", { ...data, tolerance: step.measured.tolerance }];
}
