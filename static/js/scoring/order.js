// Order: pairs and gaps. Twin of checkoffs/scoring/order.py, which says why.
import { shownSpan, span } from "./clock.js";
import { overruled, verdictOn, word } from "./settlements.js";
import { DONE } from "./stated.js";
import { bounded } from "./steps.js";

const untimed = (step) => step.caught_up || ![...DONE, "said"].includes(step.mark) || step.raw_ms === null;

export function orderFindings(rule, state, steps, by) {
  return [
    ...rule.pairs.map((pair) => pairFinding(pair, state, steps, by)),
    ...rule.gaps.map((gap) => gapFinding(gap, state, steps, by)),
  ];
}

function pairFinding(pair, state, steps, by) {
  const [before, after] = [state.steps[pair.before], state.steps[pair.after]];
  const asks = steps[pair.after].done === true && before.mark !== "not_applicable";
  const settled = verdictOn(by, "pair", pair.id);
  if (!asks && !settled) return null;
  let [found, why] = [null, ""];
  if (asks) {
    const done = steps[pair.before].done;
    if (!done) [found, why] = done === null ? [null, "not_seen"] : [false, ""];
    else if (untimed(before) || untimed(after)) why = "caught_up";
    else found = before.position < after.position;
  }
  const kept = settled ? settled === "kept" : found;
  return {
    met: kept,
    decides: pair.critical,
    settle: kept === null && pair.critical && why === "caught_up" ? ["pair", pair.id, why] : null,
    data: {
      code: word(kept, "order_kept", "order_broken", "order_unclear"),
      kind: "order",
      pair: pair.id,
      before: pair.before,
      after: pair.after,
      before_ms: before.at_ms,
      after_ms: after.at_ms,
      critical: pair.critical,
      ...overruled(by, "pair", pair.id, word(found, "kept", "broken")),
    },
  };
}

function gapFinding(gap, state, steps, by) {
  const settled = verdictOn(by, "gap", gap.id);
  const asks = steps[gap.from].done === true && steps[gap.to].done === true;
  if (!asks && !settled) return null;
  const [least, most] = [gap.at_least_ms ?? null, gap.at_most_ms ?? null];
  let [found, short, gap_ms, why] = [null, false, null, ""];
  if (asks) {
    const [from, to] = [state.steps[gap.from], state.steps[gap.to]];
    if (untimed(from) || untimed(to)) why = "caught_up";
    else {
      const part = span(state.clock, from.raw_ms, to.raw_ms);
      gap_ms = shownSpan(part);
      [found, short] = bounded(part, least, most);
      if (found === null) why = "time_unclear";
    }
  }
  const kept = settled ? settled === "kept" : found;
  short ||= gap_ms !== null && gap_ms < (least ?? 0);
  return {
    met: kept,
    decides: gap.critical,
    settle: kept === null && gap.critical && why ? ["gap", gap.id, why] : null,
    data: {
      code: word(kept, "gap_kept", short ? "gap_short" : "gap_long", "gap_unclear"),
      kind: "order",
      gap: gap.id,
      from: gap.from,
      to: gap.to,
      gap_ms,
      at_least_ms: least,
      at_most_ms: most,
      critical: gap.critical,
      ...overruled(by, "gap", gap.id, word(found, "kept", "broken")),
    },
  };
}
