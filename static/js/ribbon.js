/* The ribbon on the tablet: the same strokes as checkoffs/attempts/ribbon*.py, without second sheet, lane and paper.
   ribbon(state, rule, {width, size, limitMs, nowMs, label, rehearsal}) -> SVG text; state and rule are the fold's JSON. */

const MINUTE = 60000, LEFT = 2;
const UP = { performed: "", self_corrected: " self", prompted: " prompted" };
const SEEN = ["performed", "self_corrected", "prompted"];

/** A coordinate to a tenth, half up, as in Python. */
function n(value) {
  const tenths = Math.floor(value * 10 + 0.5), size = Math.abs(tenths), part = size % 10;
  return (tenths < 0 ? "-" : "") + Math.floor(size / 10) + (part ? "." + part : "");
}
const escapes = { "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "'": "&#x27;" };
const escape = (text) => String(text).replace(/[&<>"']/g, (sign) => escapes[sign]);
const path = (cls, d) => `<path class="${cls}" d="${d}"/>`;
const rect = (cls, x, y, w, h) =>
  `<rect class="${cls}" x="${n(x)}" y="${n(y)}" width="${n(Math.max(0, w))}" height="${n(h)}"/>`;
const circle = (cls, x, y, r) => `<circle class="${cls}" cx="${n(x)}" cy="${n(y)}" r="${n(r)}"/>`;
const words = (cls, x, y, text, size, anchor = "start") =>
  `<text class="${cls}" x="${n(x)}" y="${n(y)}" text-anchor="${anchor}" font-size="${n(size)}">${escape(text)}</text>`;
const clock = (ms) => `${Math.floor(ms / MINUTE)}:${String(Math.floor((ms % MINUTE) / 1000)).padStart(2, "0")}`;
const letter = (at) => (at > 25 ? letter(Math.floor(at / 26) - 1) : "") + String.fromCharCode(65 + (at % 26));

/* ---- what is shown ---- */

function standing(check, value, state, running) {
  if (running && value.revealed_ms === null) return "covered";
  const settled = state.settled["stated:" + check.id];
  if (settled) return settled.verdict === "right" ? "right" : "wrong";
  if (!value.verdict) return "covered";
  const code = value.verdict.code;
  if (code === "right_other_rounding") return check.grades_rounding ? "wrong" : "right";
  if (code === "missing_unit" && check.no_unit === "accepted") return "right";
  return code === "right" ? "right" : "wrong";
}

function tickOf(step, state, rule, running) {
  const known = state.steps[step], fixed = rule.steps[step];
  const said = (rule.stated || []).filter((check) => check.step === step && state.stated[check.id]?.event);
  let kind = known.mark, at = known.caught_up ? null : known.at_ms;
  if (said.length && (kind === null || SEEN.includes(kind))) {
    const values = said.map((check) => state.stated[check.id]);
    const all = said.map((check, i) => standing(check, values[i], state, running));
    at = values.find((value) => value.at_ms !== null)?.at_ms ?? at;
    kind = all.includes("covered") ? "covered" : all.includes("wrong") ? "wrong" : kind || "performed";
  }
  if (kind === null || kind === "not_applicable") return null;
  return { kind, at, critical: Boolean(fixed.critical) || said.some((check) => check.critical) };
}

function looseOf(state, rule, running) {
  return (rule.stated || []).filter((check) => !check.step && state.stated[check.id]?.event).map((check) => {
    const value = state.stated[check.id], now = standing(check, value, state, running);
    return { kind: now === "right" ? "performed" : now, at: value.at_ms, critical: Boolean(check.critical) };
  });
}

function sectionsOf(state, rule) {
  return rule.sections.map((section, position) => {
    const marks = section.steps.map((step) => state.steps[step]);
    const times = marks.filter((m) => m.mark && m.at_ms !== null && !m.caught_up).map((m) => m.at_ms);
    return { letter: letter(position), end: times.length ? Math.max(...times) : null, open: marks.some((m) => !m.mark) };
  });
}

function currentOf(sections) {
  if (!sections.length) return null;
  const touched = sections.filter((s) => s.end !== null);
  const latest = touched.length ? touched.reduce((a, b) => (b.end > a.end ? b : a)) : sections[0];
  if (latest.open) return latest;
  return sections.slice(sections.indexOf(latest) + 1).find((s) => s.open) || latest;
}

function segmentsOf(sections, now, running) {
  const current = running ? currentOf(sections) : null, segments = [];
  let start = 0;
  for (const s of sections.filter((s) => s.end !== null && s !== current).sort((a, b) => a.end - b.end)) {
    const end = Math.min(Math.max(s.end, start), now);
    if (end > start) segments.push({ letter: s.letter, start, end, current: false });
    start = end;
  }
  if (current && now > start) segments.push({ letter: current.letter, start, end: now, current: true });
  else if (!current && segments.length && now > start) segments[segments.length - 1].end = now;
  return segments;
}

function seamsOf(state) {
  let leftOut = 0;
  return state.pauses.filter((pause) => !pause.counts && pause.from_ms !== null).map((pause) => {
    const at = pause.from_ms - leftOut, until = pause.to_ms ?? state.raw_ms;
    leftOut += until === null ? 0 : Math.max(0, until - pause.from_ms);
    return at;
  });
}

/* ---- where it lies ---- */

function frameOf(width, compact) {
  const [top, up, band, down, right] = compact ? [13, 13, 11, 8, 10] : [18, 24, 18, 14, 14];
  const by = top + up, base = by + band;
  return { width, compact, up, band, down, right, by, base, bottom: base + down + (compact ? 1 : 18), text: base + down + 13 };
}

function scaleEnd(limit, latest) {
  if (limit === null) return Math.max(5 * MINUTE, Math.ceil(latest / (5 * MINUTE)) * 5 * MINUTE);
  return latest <= limit ? limit : latest + 4000;
}

function labelStep(f, end) {
  const perMinute = ((f.width - LEFT - f.right) * MINUTE) / end, steps = [5, 10, 15, 30, 60, 120, 240, 480, 960];
  return (end <= 6 * MINUTE ? [1, 2, ...steps] : steps).find((step) => step * perMinute >= 34) ?? 1440;
}

function channel(f, x, end, limit) {
  const until = limit ?? end, step = labelStep(f, end), perMinute = x(MINUTE) - x(0);
  let out = rect("rb-chan", LEFT, f.by + 0.5, x(until) - LEFT, f.band - 1);
  for (let minute = 1; minute < Math.ceil(until / MINUTE); minute++) {
    const big = minute % step === 0;
    if (big || (perMinute >= 4 && !f.compact))
      out += path("rb-grad", `M${n(x(minute * MINUTE))} ${n(f.base - (big ? f.band : 4))}V${n(f.base)}`);
  }
  return out;
}

function axis(f, x, end, limit, now) {
  let out = "", edge = f.width - 1;
  if (limit !== null) {
    const text = `limit ${clock(limit)}`, over = now > limit, at = over ? x(limit) + 4 : edge;
    out += words("rb-ax lim", at, f.text, text, 12, "end");
    if (over && edge - 6.2 * clock(now).length > at + 6) out += words("rb-ax", edge, f.text, clock(now), 12, "end");
    edge = at - 6.4 * text.length;
  }
  const step = labelStep(f, end), until = limit ?? end;
  for (let minute = 0; minute <= Math.floor(until / MINUTE); minute += step) {
    const at = x(minute * MINUTE);
    if (minute * MINUTE < until + (limit === null ? 1 : 0) && at + 10 < edge)
      out += words("rb-ax", at, f.text, String(minute), 12, minute ? "middle" : "start");
  }
  return out;
}

function band(f, x, segments, outline) {
  return segments.map((part, turn) => {
    const x0 = x(part.start), x1 = x(part.end), [drop, size] = f.compact ? [3.4, 9.5] : [4.2, 12];
    const look = (turn % 2 ? "odd" : "even") + (outline ? " line" : part.current ? " cur" : "");
    const name = x1 - x0 > 10 ? words(`rb-let ${look}`, (x0 + x1) / 2, f.by + f.band / 2 + drop, part.letter, size, "middle") : "";
    return rect(`rb-seg ${look}`, x0, f.by, x1 - x0, f.band) + name;
  }).join("");
}

function seam(f, x) {
  const w = f.compact ? 6 : 8, y0 = f.by - 3, y1 = f.base + 3, x0 = x - w / 2, x1 = x + w / 2;
  let hatch = "";
  for (let k = y0; k < y1 + w; k += 4) {
    const xa = k > y1 ? x0 + k - y1 : x0, ya = Math.min(k, y1);
    const xb = k - w < y0 ? x1 - (y0 - (k - w)) : x1, yb = Math.max(k - w, y0);
    if (xb > xa) hatch += `M${n(xa)} ${n(ya)}L${n(xb)} ${n(yb)}`;
  }
  return rect("rb-pz", x0, y0, w, y1 - y0) + path("rb-hat", hatch)
    + path("rb-rail", `M${n(x0)} ${n(y0)}V${n(y1)}M${n(x1)} ${n(y0)}V${n(y1)}`);
}

function tick(f, x, mark, outline) {
  const crit = mark.critical ? " crit" : "";
  if (mark.kind === "covered") return covered(f, x, crit, outline);
  if (mark.kind in UP) return upTick(f, x, mark, crit);
  if (mark.kind === "not_observed") return path(`rb-t nobs${crit}`, `M${n(x)} ${n(f.base + 1)}V${n(f.base + f.down - 2)}`);
  const said = mark.kind === "said", h = mark.critical ? f.down - 3 : f.down * 0.55;
  const q = f.compact ? 2 : mark.critical ? 3.4 : 2.6, y = f.base + h;
  return path(`rb-t ${said ? "said" : "no"}${crit}`, `M${n(x)} ${n(f.base + 1)}V${n(y)}`)
    + rect(said ? "rb-sqo" : `rb-sq${crit}`, x - q, y - q + 0.5, 2 * q, 2 * q);
}

function covered(f, x, crit, outline) {
  const reach = f.compact ? 4 : 7;
  return path(`rb-t cov${crit}`, `M${n(x)} ${n(f.by - 1 - reach)}V${n(f.by - 0.5)}M${n(x)} ${n(f.base + 0.5)}V${n(f.base + 1 + reach)}`)
    + path(`rb-t covin${crit}${outline ? " line" : ""}`, `M${n(x)} ${n(f.by)}V${n(f.base)}`)
    + (f.compact ? "" : path(`rb-t cov flag${crit}`, `M${n(x)} ${n(f.by - reach - 0.5)}h5.5v4h-5.5`));
}

function upTick(f, x, mark, crit) {
  const h = mark.critical ? f.up - 3 : f.up * 0.5, [w, k] = f.compact ? [3.4, 4.6] : [4.6, 6.4], y = f.by - h - 1;
  let out = path(`rb-t${UP[mark.kind]}${crit}`, `M${n(x)} ${n(f.by - 1)}V${n(f.by - h)}`);
  if (mark.critical)
    out += path("rb-k", `M${n(x - w)} ${n(y - k * 0.2)}Q${n(x)} ${n(y - k * 0.55)} ${n(x + w)} ${n(y - k * 0.2)}L${n(x + w * 0.5)} ${n(y + k)}H${n(x - w * 0.5)}Z`);
  else if (mark.kind === "self_corrected" && !f.compact)
    out += path("rb-t self", `M${n(x)} ${n(f.by - h + 0.75)}H${n(x - 5)}V${n(f.by - h + 5)}`);
  if (mark.kind === "prompted" && !f.compact) out += circle("rb-o", x, f.by - h - (mark.critical ? 8 : 2), 2.4);
  return out;
}

function promptFlag(f, x) {
  const r = f.compact ? 3 : 4.2, at = Math.min(Math.max(x, r + 1), f.width - r - 1), tail = r * 2 + (f.compact ? 4 : 5);
  return (f.compact ? "" : path("rb-prl", `M${n(x)} ${n(r * 2 + 2)}V${n(f.by)}`)) + circle("rb-pr", at, r + 1.5, r)
    + path("rb-prt", `M${n(at - 2.6)} ${n(r * 2 - 0.2)}L${n(at - 3)} ${n(tail)} ${n(at + 2)} ${n(r * 2 + 0.8)}Z`);
}

function breachFlags(f, places) {
  const r = f.compact ? 4.6 : 6.4, rail = r * 2 + 1.5, groups = [];
  for (const x of places) {
    const last = groups.at(-1);
    if (last && x - last.at(-1) < 2 * r + 1) last.push(x);
    else groups.push([x]);
  }
  return groups.map((group) => {
    const m = Math.min(Math.max((group[0] + group.at(-1)) / 2, r), f.width - r);
    const head = path("rb-br", `M${n(m - r)} ${n(0.5)}H${n(m - 1.4)}V${n(r * 0.75)}H${n(m + 1.4)}V${n(0.5)}H${n(m + r)}L${n(m)} ${n(r * 2)}Z`);
    if (group.length === 1) return head + path("rb-brl", `M${n(group[0])} ${n(r * 2)}V${n(f.by)}`);
    const text = f.compact ? `${group.length}` : `${group.length} breaches`, size = f.compact ? 11 : 13;
    const left = m + r + 4 + size * 0.55 * text.length > f.width;
    return head + path("rb-brl", `M${n(group[0] - 0.5)} ${n(rail)}H${n(group.at(-1) + 0.5)}` + group.map((x) => `M${n(x)} ${n(rail)}V${n(f.by)}`).join(""))
      + words("rb-brn", left ? m - r - 4 : m + r + 4, r * 1.5 + 1, text, size, left ? "end" : "start");
  }).join("");
}

function limitBar(f, x, over) {
  const y0 = f.by - (f.compact ? 4 : 8), y1 = f.base + (f.compact ? 3 : 6);
  return (over ? rect("rb-cut", x - 3, f.by - 1, 12, f.band + 2) : "")
    + path("rb-lim1", `M${n(x - 0.5)} ${n(y0)}V${n(y1)}`) + path("rb-lim2", `M${n(x + 4.5)} ${n(y0)}V${n(y1)}`);
}

function needle(f, x) {
  const y = f.by - f.up + 1, [way, back] = x + 9 > f.width ? ["-", ""] : ["", "-"];
  return path("rb-now", `M${n(x)} ${n(y)}V${n(f.base + f.down - 2)}`)
    + path("rb-nowh", `M${n(x)} ${n(y)}h${way}9l${back}3 3.6 ${way}3 3.6h${back}9z`);
}

/** The whole drawing. `limitMs` is the limit after an accommodation; left out, the rule's own is drawn. */
export function ribbon(state, rule, { width = 720, size = "full", limitMs = null, nowMs = null, label = "Ribbon of the attempt", rehearsal = false } = {}) {
  const running = state.status === "running" || state.status === "paused", f = frameOf(width, size === "compact");
  const limit = limitMs || ((rule.limits || []).find((l) => l.scope === "whole")?.limit_ms ?? null);
  let now = state.finished_ms ?? state.counted_ms ?? 0;
  if (running && nowMs !== null) now = Math.max(now, nowMs);
  const end = scaleEnd(limit, now), room = f.width - LEFT - f.right, x = (ms) => LEFT + (ms / end) * room;
  const times = (flags) => flags.map((flag) => flag.at_ms).filter((at) => at !== null).sort((a, b) => a - b);
  const ticks = rule.sections.flatMap((section) => section.steps).map((step) => tickOf(step, state, rule, running))
    .concat(looseOf(state, rule, running)).filter((mark) => mark && mark.at !== null).sort((a, b) => a.at - b.at);
  const body = channel(f, x, end, limit) + (f.compact ? "" : axis(f, x, end, limit, now))
    + band(f, x, segmentsOf(sectionsOf(state, rule), now, running), rehearsal)
    + seamsOf(state).map((at) => seam(f, x(at))).join("")
    + ticks.map((mark) => tick(f, x(mark.at), mark, rehearsal)).join("")
    + times(state.prompts).map((at) => promptFlag(f, x(at))).join("") + breachFlags(f, times(state.breaches).map(x))
    + (limit === null ? "" : limitBar(f, x(limit), now > limit))
    + (running || state.status === "not_started" ? needle(f, x(now)) : now === limit ? "" : path("rb-end", `M${n(x(now))} ${n(f.by - 6)}V${n(f.base + 4)}`));
  const height = n(f.bottom + (f.compact ? 2 : 0)), name = escape(label), w = n(width);
  return `<svg xmlns="http://www.w3.org/2000/svg" class="ribbon${f.compact ? " compact" : ""}" width="${w}" height="${height}" viewBox="0 0 ${w} ${height}" role="img" aria-label="${name}"><title>${name}</title>${body}</svg>`;
}
