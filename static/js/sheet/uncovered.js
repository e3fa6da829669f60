/** The uncovered value: verdict, said beside expected, where it lies among known slips, two workings side by side. */
import { h, icon } from "./dom.js";
import { gauge } from "./gauge.js";
import { RIGHT, VERDICT, asSaid, mmss } from "./words.js";

export function uncovered(page, check) {
  const said = page.state.stated[check.id];
  const key = page.key(check);
  const verdict = said.event ? page.verdict(check, said) : null;
  const good = RIGHT.includes(verdict?.code);
  const slip = key?.slips.find(one => one.code === (verdict?.slip ?? verdict?.slips?.[0]?.code));
  const step = check.step && page.step(check.step);
  const closed = check.closes_with && page.state.steps[check.closes_with];
  return [
    h("div.verdict", null, icon(good ? "performed" : "not_performed", 44), h("h2", null, said.event ? capital(VERDICT[verdict?.code] ?? "no verdict yet") : "Not said"),
      h("span.q", null, `${step ? `${check.critical ? "Critical step" : "Step"} ${step.number}. ` : ""}${closed?.mark ? `Self-correction closed with step ${page.step(check.closes_with).number}, marked ${mmss(closed.at_ms)}.` : ""}`)),
    h("div.vs", null, value("said", said.event ? said.number : "–", said.event ? said.unit ?? "no unit said" : "", good ? "" : ".bad"),
      h("div.unfold", null, value(`expected, uncovered ${mmss(said.revealed_ms)}`, key?.expected ?? "–", key?.unit ?? "")),
      h("p.q.low", null, h("b.onow", null, "What is said from now on no longer counts."), verdict?.why ? `${capital(verdict.why)}. ` : "", accepted(key))),
    key && said.event && gauge(key, said.number, Math.min(720, innerWidth - 40)),
    ...(slip ? workings(key, slip, said) : key?.working.length ? [h("div.slip", null, h("span.cap", null, good ? "The working" : "No known slip gives this number"), table(key))] : []),
    said.later.length > 0 && h("p.q", null, `Said too late to count: ${said.later.map(one => `${one.kind === "retracted" ? "taken back" : asSaid(one)}, ${mmss(one.at_ms)}`).join("; ")}.`),
  ].filter(Boolean);
}

const capital = text => text[0].toUpperCase() + text.slice(1);

function value(label, number, unit, tone = "") {
  return h("div", null, h("span.k", null, label), h(`div.v${tone}`, null, number, h("small", null, unit)));
}

function accepted(key) {
  const ranges = (key?.accepted ?? []).map(({ low, high }) => (low === high ? low : `${low} to ${high}`));
  return ranges.length ? `Accepted: ${[...new Set(ranges)].join(", ")}${ranges.length === 1 && !ranges[0].includes("to") ? " only" : ""}.` : "";
}

function workings(key, slip, said) {
  return [h("div.slip", null, h("span.cap", null, said.number === slip.value ? "Likely slip, fits to the last figure" : "Likely slip"), h("h3.w", null, slip.text), table(key, slip))];
}

/** Two workings line by line, washed only where they part. */
function table(key, slip) {
  const rows = [...Array(Math.max(key.working.length, slip?.working.length ?? 0)).keys()];
  const parts = rows.find(i => slip && key.working[i]?.text !== slip.working[i]?.text);
  const cells = (line, cls = "") => [h(`td${cls}`, null, line?.text ?? ""), h(`td.r${cls}`, null, line?.gives ?? "")];
  const heads = slip ? ["Right working", "gives", "With the slip", "gives"] : ["Working", "gives"];
  return h("div.scroll", { role: "region", tabindex: 0, "aria-label": "working" }, h("table.wk", null, h("thead", null, h("tr", null, heads.map((text, i) => h(i % 2 ? "th.r" : "th", { scope: "col" }, text)))),
    h("tbody", null, rows.map(i => h(i === parts ? "tr.here" : i === rows.length - 1 ? "tr.fin" : "tr", null, cells(key.working[i]), slip ? cells(slip.working[i], i === rows.length - 1 ? ".c-verm" : "") : [])))));
}
