// Stated values: the verdict on a number from the answer key, which statement counts, and whether it is good enough.
// verdictFor is used on the tablet only after `revealed` or at finish; the rest is the twin of checkoffs/scoring/stated.py.
import { countedAt } from "./clock.js";
import { compare, decimal, isDecimal } from "./decimal.js";

export const DONE = ["performed", "self_corrected", "prompted"];

/**
 * The verdict on what was said, from one check of the answer key: exact comparison, no unit arithmetic.
 * Same code and number as the server's verdict. unit null = none was said: a right number is then `missing_unit`.
 * Returns {code, number: how the number alone stands, why?, slip?: code of the first likely slip it fits}.
 */
export function verdictFor(check, said, unit) {
  const value = readNumber(said);
  if (!value) return { code: "unreadable", number: "unreadable" };
  const inside = ({ low, high }) =>
    isDecimal(low) && isDecimal(high) && compare(decimal(low), value) <= 0 && compare(value, decimal(high)) <= 0;
  const accepted = check.accepted.find(inside);
  const slip = accepted ? null : check.slips?.find(inside);
  const number = accepted?.verdict ?? "wrong";
  const bare = (unit ?? "").trim() === "";
  const code = bare
    ? number === "wrong" ? "wrong" : "missing_unit"
    : spelling(unit) === spelling(check.unit) ? number : "wrong_unit";
  return { code, number, ...(accepted ? { why: accepted.why } : {}), ...(slip ? { slip: slip.code } : {}) };
}

/** "1,400", ".5" and "−2" are clear, if badly written; "5." and "1,4" are not. */
function readNumber(said) {
  const [, sign, whole = "", part = ""] = /^([-−]?)([0-9]{1,3}(?:,[0-9]{3})+|[0-9]+)?(\.[0-9]+)?$/.exec(said.trim()) ?? [];
  return whole || part ? decimal((sign && "-") + (whole.replaceAll(",", "") || "0") + part) : null;
}

// Spellings of one unit, no conversion. The tablet offers the key's own units, so this is for a typed one.
const spelling = (unit) =>
  unit.trim().replace(/\s*\/\s*/g, "/").replace(/[µμ]g/, "mcg").replace(/ml/i, "mL").replace(/\/h(ou)?rs?$/, "/h");

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
