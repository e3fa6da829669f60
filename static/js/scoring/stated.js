// Stated values: the verdict on a number from the answer key, which statement counts, and whether it is good enough.
// verdictFor is used on the tablet only after `revealed` or at finish; the rest is the twin of checkoffs/scoring/stated.py.
import { countedAt } from "./clock.js";
import { compare, decimal } from "./decimal.js";

export const DONE = ["performed", "self_corrected", "prompted"];

/**
 * The verdict on what was said, from one check of the answer key: exact comparison, no unit arithmetic.
 * unit null = none was said; then `number` tells how the number alone would stand.
 * Returns {code} with `why` (which rounding) or `slip` (code of a likely slip) where there is one.
 */
export function verdictFor(check, number, unit) {
  const value = decimal(String(number).trim());
  if (!value) return { code: "unreadable" };
  if (unit !== null && spelling(unit) !== spelling(check.unit)) return { code: "wrong_unit" };
  const inside = ({ low, high }) =>
    low != null && high != null && compare(decimal(low), value) <= 0 && compare(value, decimal(high)) <= 0;
  const accepted = check.accepted.find(inside);
  const slip = accepted ? null : (check.slips ?? []).find(inside);
  const code = accepted ? accepted.verdict : "wrong";
  const verdict = unit === null ? { code: "missing_unit", number: code } : { code };
  if (accepted?.why) verdict.why = accepted.why;
  if (slip) verdict.slip = slip.code;
  return verdict;
}

// Spellings of one unit, not conversions: case of the litre, spaces, and the words for drops and hours.
function spelling(unit) {
  return unit
    .replace(/\s+/g, "")
    .replace(/[µμ]/g, "mc")
    .replace(/l(?=$|\/)/g, "L")
    .replace(/drops?|gtts(?=$|\/)/gi, "gtt")
    .replace(/\/(hours?|hrs?)$/i, "/h")
    .replace(/\/minutes?$/i, "/min");
}

/** Whether a verdict is good enough under the rule; null when it cannot be told. */
export function isRight(check, verdict) {
  let code = verdict?.code;
  if (code === "missing_unit" && check.no_unit === "accepted") code = verdict.number;
  if (!code || code === "unreadable") return null;
  return code === "right" || (code === "right_other_rounding" && !check.grades_rounding);
}

/** The state of every check that was said or shown. */
export function statedValues(rule, stands, clock, steps) {
  const found = {};
  for (const check of rule.stated) {
    const said = stands.events.filter(({ kind, payload }) => kind === "stated" && payload.check === check.id);
    const late = stands.tooLate.filter(([, about]) => about === check.id).map(([event]) => event);
    if (said.length || late.length || stands.revealed.has(check.id))
      found[check.id] = one(check, said, late, stands, clock, steps);
  }
  return found;
}

function one(check, said, late, stands, clock, steps) {
  const at = (event) => stands.positions.get(event.id);
  const shown = stands.revealed.get(check.id) ?? Infinity;
  const closing = check.closes_with ? steps[check.closes_with] : null;
  const closed = closing && DONE.includes(closing.mark) && !closing.caught_up ? closing.position : Infinity;
  const later = late.map((event) => [event, "revealed"]);
  let counting = null;
  for (const event of said) {
    if (at(event) > shown) later.push([event, "revealed"]);
    else if (counting && at(event) > closed) later.push([event, "closed"]);
    else counting = event;
  }
  const verdicts = stands.events
    .filter(({ kind, payload }) => counting && kind === "verified" && payload.statement === counting.id)
    .map(({ payload }) => payload.verdict);
  const reveal = stands.events.find(({ kind, payload }) => kind === "revealed" && payload.check === check.id);
  return {
    number: counting?.payload.number ?? null,
    unit: counting?.payload.unit ?? null,
    at_ms: counting ? countedAt(clock, counting) : null,
    event: counting?.id ?? null,
    verdict: verdicts[0] ?? null,
    differs: verdicts.some((verdict) => verdict.code !== verdicts[0].code),
    revealed_ms: reveal ? countedAt(clock, reveal) : null,
    later: later
      .sort(([a], [b]) => at(a) - at(b))
      .map(([event, why]) => ({
        event: event.id,
        kind: event.kind,
        number: event.payload.number ?? null,
        unit: event.payload.unit ?? null,
        at_ms: countedAt(clock, event),
        why,
      })),
  };
}
