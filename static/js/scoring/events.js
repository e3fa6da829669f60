// Events: their kinds, payloads and total order. Twin of checkoffs/scoring/events.py; PAYLOADS is the same data.
// "?" = may be left out or null, "~" = must be there, if as null, "a|b" = one of these words.
import { isDecimal } from "./decimal.js";

/** What cannot be read: code, field (dotted path), index of the event or null. */
export class ScoringError extends Error {
  constructor(code, field, index = null) {
    super(`${field}: ${code}`);
    Object.assign(this, { code, field, index });
  }
}

// A change made after the evaluator saw the outcome says so, and then must say why.
const CHANGED = { after_outcome: "flag?", reason: "text?" };
export const PAYLOADS = {
  identity_confirmed: { how: "text" },
  started: {},
  paused: { reason: "text?" },
  resumed: {},
  finished: {},
  marked: { step: "step", mark: "mark", caught_up: "flag?", in_time: "yes|no|unsure?", ...CHANGED },
  measured: { step: "step", value: "decimal", unit: "text", expected: "decimal?", ...CHANGED },
  timed: { step: "step", start_ms: "ms", stop_ms: "ms", ...CHANGED },
  retracted: { event: "id", ...CHANGED },
  prompted: { step: "step?", kind: "time|general|specific" },
  breach: { step: "step?", kind: "asepsis|safety", noticed: "flag?", corrected: "flag?", of: "id?", ...CHANGED },
  discrepancy: { which: "text", caught: "flag" },
  stated: { check: "check", number: "id", unit: "text~", ...CHANGED },
  revealed: { check: "check" },
  verified: { check: "check", statement: "id", verdict: "verdict", calculators: "text" },
  settled: { about: "about", verdict: "id", reason: "id", after_outcome: "flag?" },
  noted: { step: "step?", text: "text" },
  rated: { rating: "rating" },
  stopped: { reason: "safety|time|student|lab", text: "text?" },
  handed_over: { to: "id" },
  taken_over: { from: "id?" },
  clock_bridged: { before_ms: "ms", after_ms: "ms", wall_before: "wall?", wall_after: "wall?", how: "wall|server" },
};
// What may be taken back.
export const UNDOABLE = new Set(
  "identity_confirmed paused resumed finished marked measured timed prompted breach discrepancy stated settled noted rated stopped".split(" "),
);
const KEPT = ["kept", "broken"];
const SETTLEMENTS = {
  pair: KEPT,
  gap: KEPT,
  time: ["in_time", "late"],
  step: ["performed", "not_performed"],
  stated: ["right", "wrong"],
  breach: KEPT,
  prompts: KEPT,
  identity: KEPT,
};
const VERDICTS = ["right", "right_other_rounding", "wrong", "wrong_unit", "missing_unit", "unreadable"];
const ENVELOPE = ["id", "sheet", "by", "device", "seq", "at_ms", "wall", "kind", "payload", "source"];
const WALL = /^[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}(\.[0-9]{1,6})?Z$/;

const has = Object.hasOwn;
const isObject = (value) => typeof value === "object" && value !== null && !Array.isArray(value);
const among = (list, value) => list.includes(value);
function need(ok, code, field) {
  if (!ok) throw new ScoringError(code, field);
}

/** Check one event against the rule; returns it. */
export function parseEvent(rule, raw) {
  need(isObject(raw), "not_an_object", "event");
  only(raw, ENVELOPE, "", []);
  for (const name of ENVELOPE.slice(0, 4)) checkValue(rule, "id", raw[name], name);
  need(Number.isInteger(raw.seq) && raw.seq >= 1, "not_a_count", "seq");
  checkValue(rule, "wall", raw.wall, "wall");
  need(among(["tablet", "paper", "server"], raw.source), "unknown_value", "source");
  need(raw.at_ms !== null || raw.source !== "tablet", "missing", "at_ms");
  if (raw.at_ms !== null) checkValue(rule, "ms", raw.at_ms, "at_ms");
  need(typeof raw.kind === "string" && has(PAYLOADS, raw.kind), "unknown_kind", "kind");
  need(raw.kind !== "verified" || raw.source === "server", "wrong_source", "source");
  checkPayload(rule, raw.kind, raw.payload);
  return raw;
}

/** Read a log in any order, with repetitions, into the total order without repetitions. */
export function parseLog(rule, raws) {
  const found = new Map();
  const counts = new Map();
  raws.forEach((raw, index) => {
    try {
      const event = parseEvent(rule, raw);
      const count = JSON.stringify([event.device, event.seq]);
      need(event.sheet === raws[0].sheet, "other_sheet", "sheet");
      need(!found.has(event.id) || canonical(found.get(event.id)) === canonical(event), "id_reused", "id");
      need((counts.get(count) ?? event.id) === event.id, "seq_reused", "seq");
      found.set(event.id, event);
      counts.set(count, event.id);
    } catch (error) {
      if (error instanceof ScoringError) error.index = index;
      throw error;
    }
  });
  return [...found.values()].sort(inOrder);
}

/** Time, device, count; paper without times after what has one. */
function inOrder(a, b) {
  return (
    (a.at_ms === null) - (b.at_ms === null) ||
    (a.at_ms ?? 0) - (b.at_ms ?? 0) ||
    (a.device < b.device ? -1 : a.device > b.device ? 1 : a.seq - b.seq)
  );
}

const canonical = (value) =>
  JSON.stringify(value, (_, inner) =>
    isObject(inner) ? Object.fromEntries(Object.entries(inner).sort(([a], [b]) => (a < b ? -1 : 1))) : inner,
  );

function checkPayload(rule, kind, payload) {
  need(isObject(payload), "not_an_object", "payload");
  const fields = PAYLOADS[kind];
  const names = Object.keys(fields);
  only(payload, names.filter((name) => !fields[name].endsWith("?")), "payload.", names);
  for (const name of names) {
    if ((payload[name] ?? null) === null && /[?~]$/.test(fields[name])) continue;
    checkValue(rule, fields[name].replace(/[?~]$/, ""), payload[name], `payload.${name}`);
  }
  need(!payload.after_outcome || (payload.reason ?? "").trim(), "missing", "payload.reason");
  if (kind === "settled")
    need(among(SETTLEMENTS[payload.about.type], payload.verdict), "unknown_value", "payload.verdict");
  if (kind === "timed") need(payload.stop_ms >= payload.start_ms, "backwards", "payload.stop_ms");
  if (kind === "clock_bridged") need(payload.after_ms >= payload.before_ms, "backwards", "payload.after_ms");
}

function only(value, needed, at, known) {
  for (const name of needed) need(has(value, name), "missing", at + name);
  for (const name of Object.keys(value).sort())
    need(among(needed, name) || among(known, name), "unknown_field", at + name);
}

function checkValue(rule, spec, value, field) {
  if (spec.includes("|")) return need(among(spec.split("|"), value), "unknown_value", field);
  if (spec === "flag") return need(typeof value === "boolean", "not_a_flag", field);
  if (spec === "ms" || spec === "rating") {
    const [low, high] = spec === "ms" ? [0, 1e12] : [1, 5];
    return need(Number.isInteger(value) && low <= value && value <= high, "not_a_whole_number", field);
  }
  if (spec === "about") return checkAbout(rule, value, field);
  if (spec === "verdict") return need(isObject(value) && among(VERDICTS, value.code), "unknown_verdict", field);
  const longest = spec === "text" || field === "payload.reason" ? 4000 : 80;
  const fits = typeof value === "string" && [...value].length <= longest && (spec === "text" || value.trim() !== "");
  need(fits, "not_a_text", field);
  if (spec === "decimal") need(isDecimal(value), "not_a_decimal", field);
  if (spec === "wall") need(WALL.test(value), "not_a_wall_time", field);
  if (spec === "step") need(has(rule.steps, value), "unknown_step", field);
  if (spec === "mark") need(has(rule.marks, value), "unknown_mark", field);
  if (spec === "check") need(rule.stated.some((check) => check.id === value), "unknown_check", field);
}

function checkAbout(rule, value, field) {
  const fits = isObject(value) && Object.keys(value).sort().join() === "id,type" && has(SETTLEMENTS, value.type);
  need(fits, "unknown_value", field);
  const ids = (list) => list.map((item) => item.id);
  const known = {
    pair: () => ids(rule.pairs),
    gap: () => ids(rule.gaps),
    time: () => [...rule.order, ...ids(rule.limits)],
    step: () => rule.order,
    stated: () => ids(rule.stated),
    prompts: () => ["total", ...Object.keys(rule.prompts.by_kind)],
    identity: () => ["identity"],
    breach: () => [value.id],
  };
  need(typeof value.id === "string" && value.id && among(known[value.type](), value.id), "unknown_value", `${field}.id`);
}
