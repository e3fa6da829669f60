// Which events stand after every undo and redo. Twin of checkoffs/scoring/standing.py, which says why.
import { ScoringError, UNDOABLE } from "./events.js";

/** {events, positions: Map, revealed: Map, tooLate: [[event, check]], undo, redo} of a log in total order. */
export function standing(log) {
  const byId = new Map(log.map((event) => [event.id, event]));
  const positions = new Map(log.map((event, position) => [event.id, position]));
  const revealed = new Map();
  log.forEach((event, position) => {
    if (event.kind === "revealed" && !revealed.has(event.payload.check)) revealed.set(event.payload.check, position);
  });
  const retractions = log.filter((event) => event.kind === "retracted");
  const chains = new Map(retractions.map((event) => [event.id, chainOf(event, byId)]));
  const tooLate = [];
  for (const event of retractions) {
    const base = byId.get(chains.get(event.id).at(-1));
    const shown = base?.kind === "stated" ? revealed.get(base.payload.check) : undefined;
    if (positions.get(base?.id) < shown && shown < positions.get(event.id)) tooLate.push([event, base.payload.check]);
  }
  const idle = new Set(tooLate.map(([event]) => event.id));
  const fallen = new Set();
  // Longest chains first, so that each retraction is known before its target.
  for (const event of [...retractions].sort((a, b) => chains.get(b.id).length - chains.get(a.id).length))
    if (!fallen.has(event.id) && !idle.has(event.id)) fallen.add(event.payload.event);
  const events = log.filter((event) => event.kind !== "retracted" && !fallen.has(event.id));
  const answered = (event) =>
    event.kind === "stated" && positions.get(event.id) < (revealed.get(event.payload.check) ?? -1);
  const undo = events.findLast((event) => UNDOABLE.has(event.kind) && !answered(event));
  let redo = retractions.findLast(
    ({ id, payload }) =>
      !fallen.has(id) && !idle.has(id) && chains.get(id).length === 1 && byId.has(payload.event),
  );
  if (redo && undo && positions.get(undo.id) > positions.get(redo.id)) redo = undefined;
  return { events, positions, revealed, tooLate, undo: undo?.id ?? null, redo: redo?.id ?? null };
}

function chainOf(event, byId) {
  const chain = [];
  let at = event;
  while (at?.kind === "retracted") {
    const target = at.payload.event;
    if (chain.includes(target) || target === event.id) throw new ScoringError("retraction_ring", "payload.event");
    chain.push(target);
    at = byId.get(target);
  }
  if (at && !UNDOABLE.has(at.kind)) throw new ScoringError("not_retractable", "payload.event");
  return chain;
}
