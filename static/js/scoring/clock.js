// The attempt clock from the events alone. Twin of checkoffs/scoring/clock.py, which says why.

/** The clock of standing events in order: {status, ended, start, end, latest, pauses, bridges}, raw milliseconds. */
export function readClock(events) {
  let [status, start, end, latest] = ["not_started", null, null, null];
  const [pauses, bridges] = [[], []];
  const over = () => status === "finished" || status === "stopped";
  const close = (at) => {
    if (pauses.length && pauses.at(-1).to_ms === null) pauses.at(-1).to_ms = at;
  };
  for (const { kind, at_ms, payload } of events) {
    if (at_ms !== null && kind !== "verified") latest = Math.max(latest ?? 0, at_ms);
    if (kind === "clock_bridged") bridges.push(bridge(payload));
    if (kind === "stopped" || (kind === "finished" && status !== "stopped")) {
      if (!over()) {
        close(at_ms);
        end = at_ms;
      }
      status = kind;
    } else if (over()) {
      continue;
    } else if (kind === "started" && status === "not_started") {
      [status, start] = ["running", at_ms];
    } else if (kind === "paused" && status !== "not_started") {
      close(at_ms);
      const reason = payload.reason || "";
      pauses.push({ from_ms: at_ms, to_ms: null, reason, counts: !reason });
      status = "paused";
    } else if (kind === "resumed" && status === "paused") {
      close(at_ms);
      status = "running";
    }
  }
  return { status, ended: over(), start, end, latest, pauses, bridges };
}

/** Counted milliseconds at a raw reading. */
export function counted(clock, raw) {
  const until = clock.end === null ? raw : Math.min(raw, clock.end);
  const start = clock.start ?? 0;
  const leftOut = clock.pauses
    .filter((pause) => !pause.counts && pause.from_ms !== null)
    .map((pause) => Math.max(0, Math.min(pause.to_ms ?? until, until) - Math.max(pause.from_ms, start)));
  return leftOut.reduce((sum, part) => sum - part, Math.max(0, until - start));
}

/** Counted milliseconds of an event; null without a time. */
export const countedAt = (clock, event) => (event.at_ms === null ? null : counted(clock, event.at_ms));

/** Counted milliseconds at the end, or at the last event while running. */
export function now(clock) {
  const at = clock.ended ? clock.end : clock.latest;
  return at === null ? null : counted(clock, at);
}

/** The counted time between two raw readings: {low, high}, high null = not known. */
export function span(clock, from, to) {
  if (to < from) {
    const turned = span(clock, to, from);
    return { low: turned.high === null ? -turned.low : -turned.high, high: -turned.low };
  }
  const whole = counted(clock, to) - counted(clock, from);
  const inside = clock.bridges.filter((gap) => gap.before_ms >= from && gap.after_ms <= to);
  const open = inside.reduce((sum, gap) => sum + counted(clock, gap.after_ms) - counted(clock, gap.before_ms), 0);
  return { low: whole - open, high: inside.some((gap) => gap.backwards) ? null : whole };
}

/** Whether a span is no longer than a limit; null when a bridged gap decides. */
export function within({ low, high }, limit) {
  return low > limit ? false : high !== null && high <= limit ? true : null;
}

/** The number shown for a span. */
export const shownSpan = (part) => (part ? (part.high ?? part.low) : null);

function bridge({ before_ms, after_ms, wall_before, wall_after, how }) {
  const backwards = Boolean(how === "wall" && wall_before && wall_after && wall_after < wall_before);
  return { before_ms, after_ms, how, backwards };
}
