/** Where the said number lies among what known slips would give, on a logarithmic scale. For the eye only. */
import { s } from "./dom.js";

export function gauge(key, number, width = 720) {
  const expected = Number(key.expected);
  const said = Number(number);
  if (!(expected > 0) || !(said > 0)) return null;
  const slips = key.slips.map(slip => ({ at: Number(slip.value), text: slip.text })).filter(({ at }) => at > 0 && at !== said).slice(0, 3);
  const all = [expected, said, ...slips.map(({ at }) => at)].map(Math.log10);
  const [low, high] = [Math.floor(Math.min(...all) - 0.05), Math.ceil(Math.max(...all) + 0.05)];
  const x = value => (40 + ((Math.log10(value) - low) / (high - low)) * (width - 80)).toFixed(1);
  const text = (at, y, words, cls, anchor = "middle") => s("text", { x: at, y, class: cls, "text-anchor": anchor }, words);
  const svg = s("svg", { class: "gauge", viewBox: `0 0 ${width} 72`, role: "img", "aria-label": `said ${number}, expected ${key.expected}, on a scale of known slips` },
    s("path", { class: "g-line", d: `M40 40H${width - 40}` }));
  for (let decade = low; decade <= high; decade++) {
    for (let k = 1; k < (decade === high ? 2 : 10); k++) svg.append(s("path", { class: "g-tick", d: `M${x(k * 10 ** decade)} 40v${k === 1 ? 8 : 4}` }));
    svg.append(text(x(10 ** decade), 62, String(Number((10 ** decade).toPrecision(1))), "g-word"));
  }
  let free = -Infinity;
  for (const { at, text: words } of slips.sort((a, b) => a.at - b.at)) {
    const near = Math.min(Math.abs(x(at) - x(said)), Math.abs(x(at) - x(expected))) < 90;
    svg.append(s("path", { class: "g-slip", d: `M${x(at)} 33v7` }));
    const half = words.length * 3.1;
    if (near || x(at) - half < free || words.length > 26) continue;
    free = Number(x(at)) + half + 8;
    svg.append(text(x(at), 28, words.toLowerCase(), "g-word"));
  }
  const leftSaid = said < expected;
  svg.append(s("path", { class: "g-want", d: `M${x(expected) - 7} 30v-6h14v6M${x(expected)} 24v16` }), text(Number(x(expected)) + (leftSaid ? 8 : -2), 16, `expected ${key.expected}`, "g-wanted", leftSaid ? "start" : "end"));
  if (said !== expected) svg.append(s("path", { class: "g-said", d: `M${x(said)} 24v16` }), s("rect", { class: "g-box", x: x(said) - 6, y: 18, width: 12, height: 12 }), text(Number(x(said)) + (leftSaid ? -10 : 10), 16, `said ${number}`, "g-told", leftSaid ? "end" : "start"));
  return svg;
}
