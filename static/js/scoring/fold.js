// The fold: one sheet's events to what the sheet shows. Twin of checkoffs/scoring/fold.py; the answer's shape stands in
// checkoffs/scoring/state.py. Pure: no Date, no DOM, no storage.
import { countedAt, now, readClock } from "./clock.js";
import { parseLog } from "./events.js";
import { readRule } from "./rule.js";
import { standing } from "./standing.js";
import { statedValues } from "./stated.js";

export const FOLD_VERSION = "1";

/** Fold the events of one sheet, given in any order, with repetitions, whole or cut. Throws ScoringError. */
export function fold(document, events) {
  const rule = readRule(document);
  return shown(foldLog(rule, parseLog(rule, events)));
}

/** The inner state of a log that is read and in order; `shown` makes the answer of it. */
export function foldLog(rule, log) {
  const stands = standing(log);
  const clock = readClock(stands.events);
  const steps = foldSteps(rule, stands, clock);
  const of = (kind) => stands.events.filter((event) => event.kind === kind);
  const listed = (kind, ...names) =>
    of(kind).map((event) => ({ id: event.id, at_ms: countedAt(clock, event), ...pick(event.payload, names) }));
  const identity = of("identity_confirmed").at(-1);
  const stop = of("stopped")[0];
  return {
    clock,
    steps,
    started_wall: of("started")[0]?.wall ?? null,
    identity: identity ? { how: identity.payload.how, at_ms: countedAt(clock, identity) } : null,
    stated: statedValues(rule, stands, clock, steps),
    prompts: listed("prompted", "kind", "step"),
    breaches: breaches(of("breach"), stands, clock),
    discrepancies: listed("discrepancy", "which", "caught"),
    notes: listed("noted", "step", "text"),
    rating: of("rated").at(-1)?.payload.rating ?? null,
    stop: stop ? pick(stop.payload, ["reason", "text"]) : null,
    settled: settled(of("settled")),
    undo: stands.undo,
    redo: stands.redo,
  };
}

function shown({ clock, steps, ...rest }) {
  return {
    fold: FOLD_VERSION,
    status: clock.status,
    counted_ms: now(clock),
    raw_ms: clock.ended ? clock.end : clock.latest,
    finished_ms: clock.ended ? now(clock) : null,
    pauses: clock.pauses,
    bridges: clock.bridges,
    steps: Object.fromEntries(Object.entries(steps).map(([id, { position, ...step }]) => [id, step])),
    ...rest,
  };
}

const pick = (payload, names) => Object.fromEntries(names.map((name) => [name, payload[name] ?? null]));
const UNTOUCHED = {
  mark: null,
  raw_ms: null,
  at_ms: null,
  caught_up: false,
  in_time: null,
  event: null,
  position: -1,
  measured: null,
  timed: null,
};

function foldSteps(rule, stands, clock) {
  const steps = Object.fromEntries(rule.order.map((id) => [id, { ...UNTOUCHED }]));
  let ended = false;
  for (const event of stands.events) {
    const { kind, payload, at_ms } = event;
    ended ||= kind === "finished" || kind === "stopped";
    const step = steps[payload.step];
    if (kind === "measured") step.measured = pick(payload, ["value", "unit", "expected"]);
    if (kind === "timed") step.timed = pick(payload, ["start_ms", "stop_ms"]);
    if (kind === "marked")
      Object.assign(step, {
        mark: payload.mark,
        raw_ms: at_ms,
        at_ms: countedAt(clock, event),
        caught_up: Boolean(payload.caught_up) || at_ms === null || ended,
        in_time: payload.in_time ?? null,
        event: event.id,
        position: stands.positions.get(event.id),
      });
  }
  return steps;
}

function breaches(events, stands, clock) {
  const found = new Map();
  for (const event of events)
    if (!stands.positions.has(event.payload.of))
      found.set(event.id, {
        id: event.id,
        at_ms: countedAt(clock, event),
        ...pick(event.payload, ["kind", "step", "noticed", "corrected"]),
      });
  for (const { payload } of events) {
    const breach = found.get(payload.of);
    for (const name of ["noticed", "corrected", "step"])
      if (breach && (payload[name] ?? null) !== null) breach[name] = payload[name];
  }
  return [...found.values()];
}

function settled(events) {
  const found = {};
  for (const { id, payload } of events)
    found[`${payload.about.type}:${payload.about.id}`] = {
      verdict: payload.verdict,
      reason: payload.reason,
      event: id,
    };
  return found;
}
