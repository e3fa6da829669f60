/**
 * The attempt clock of one page life: raw milliseconds since `started`, pauses included, never backwards.
 * `steady` must be monotonic within the page (performance.now).
 */
export class Clock {
  constructor(steady = () => performance.now()) {
    this.steady = steady;
    this.running = false;
    this.raw = 0;
    this.since = 0;
  }

  /** Runs on from `raw`. */
  run(raw) {
    this.raw = raw;
    this.since = this.steady();
    this.running = true;
  }

  now() {
    return this.running ? Math.round(this.raw + this.steady() - this.since) : 0;
  }
}

/**
 * Where the clock stands after a gap (reload, flat battery, other tablet). Both readings are
 * {raw: ms, wall: ms, server: ms | null}; `after.raw` is not needed. The server's time is trusted first, then the
 * wall clock; a gap is never negative. Gives the payload of `clock_bridged`.
 */
export function bridge(before, after) {
  const server = before.server != null && after.server != null;
  const gap = server ? after.server - before.server : after.wall - before.wall;
  return {
    before_ms: before.raw,
    after_ms: before.raw + Math.max(0, Math.round(gap)),
    wall_before: new Date(before.wall).toISOString(),
    wall_after: new Date(after.wall).toISOString(),
    how: server ? "server" : "wall",
  };
}

/** Counted milliseconds of a folded sheet at the raw reading `raw`: pauses with a reason are left out. */
export function counted(state, raw) {
  if (state.finished_ms != null) return state.finished_ms;
  if (state.status === "not_started") return 0;
  const out = state.pauses.reduce((sum, p) => sum + (p.counts ? 0 : Math.max(0, Math.min(p.to_ms ?? raw, raw) - p.from_ms)), 0);
  return Math.max(0, raw - out);
}
