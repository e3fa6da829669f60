// Time limits. Twin of checkoffs/scoring/limits.py, which says why.
import { shownSpan, span, within } from "./clock.js";
import { cutDown, decimal, times } from "./decimal.js";
import { all, overruled, verdictOn, word } from "./settlements.js";
import { DONE } from "./stated.js";

const inTimeSaid = (step, otherwise = null) => ({ yes: true, no: false })[step.in_time] ?? otherwise;
const timedMark = (step) => DONE.includes(step.mark) && !step.caught_up;
const caughtUp = (step) => DONE.includes(step.mark) && step.caught_up;

/** A limit in whole milliseconds after the extra-time factor (a decimal string). */
export function scaled(limit, factor) {
  return limit.scalable ? Number(cutDown(times([BigInt(limit.limit_ms), 0], decimal(factor)), 0)[0]) : limit.limit_ms;
}

export const judgeLimits = (rule, state, factor, by) => rule.limits.map((limit) => judge(limit, rule, state, factor, by));

/** The limit's own finding; null when nothing can be said yet. */
export function limitFinding({ limit, limit_ms, part, found, in_time, counts }, by) {
  if (!counts) return null;
  const fails = limit.on_reaching === "fail";
  return {
    met: in_time,
    decides: fails,
    settle: in_time === null && fails ? ["time", limit.id, "time_unclear"] : null,
    data: {
      code: word(in_time, "time_kept", "time_over", "time_unclear"),
      kind: "time",
      limit: limit.id,
      scope: limit.scope,
      of: limit.scope === "whole" ? null : limit.of,
      counted_ms: shownSpan(part),
      limit_ms,
      on_reaching: limit.on_reaching,
      ...overruled(by, "time", limit.id, word(found, "in_time", "late")),
    },
  };
}

/** Whether a done step came before every limit that fails what is unfinished; null when it cannot be told. */
export function stepInTime(id, state, limits, by) {
  const settled = verdictOn(by, "time", id);
  if (settled) return settled === "in_time";
  const over = limits.filter(({ limit, steps }) => limit.on_reaching === "fail_unfinished" && steps.includes(id));
  return all(over.map((judged) => oneInTime(state.steps[id], state, judged, by)));
}

function judge(limit, rule, state, factor, by) {
  const { clock } = state;
  const limit_ms = scaled(limit, factor);
  const steps = scope(limit, rule);
  const [from, to] = frame(limit, rule, state, steps);
  const part = from !== null && to !== null ? span(clock, from, to) : null;
  let answers = part ? [within(part, limit_ms)] : [];
  if (limit.scope !== "whole")
    answers.push(...steps.map((id) => state.steps[id]).filter(caughtUp).map((step) => inTimeSaid(step)));
  else if (clock.ended) answers = part ? answers : [null];
  // Still running and not over: nothing to say yet.
  else if (answers[0] !== false) answers = [];
  const found = all(answers);
  const settled = verdictOn(by, "time", limit.id);
  const in_time = settled ? settled === "in_time" : found;
  return { limit, limit_ms, from, part, found, in_time, counts: answers.length > 0 || settled !== null, steps };
}

function scope(limit, rule) {
  if (limit.scope === "whole") return rule.order;
  return limit.scope === "step" ? [limit.of] : rule.sections.find((section) => section.id === limit.of).steps;
}

function frame(limit, rule, { clock, steps }, own) {
  if (limit.scope === "whole")
    return [clock.status === "not_started" ? null : (clock.start ?? 0), clock.ended ? clock.end : clock.latest];
  const timed = limit.scope === "step" ? steps[own[0]].timed : null;
  if (timed) return [timed.start_ms, timed.stop_ms];
  const inOrder = (ids) => ids.map((id) => steps[id]).filter(timedMark).sort((a, b) => a.position - b.position);
  const marks = inOrder(own);
  if (!marks.length) return [null, null];
  const before = inOrder(rule.order.filter((id) => !own.includes(id))).findLast(
    (step) => step.position < marks[0].position,
  );
  return [before ? before.raw_ms : (clock.start ?? 0), marks.at(-1).raw_ms];
}

function oneInTime(step, { clock }, { limit, limit_ms, from, in_time, counts }, by) {
  if (verdictOn(by, "time", limit.id) === "in_time") return true;
  if (step.caught_up) return inTimeSaid(step, limit.scope === "whole" && counts && in_time === true ? true : null);
  return step.raw_ms === null ? null : within(span(clock, from ?? clock.start ?? 0, step.raw_ms), limit_ms);
}
