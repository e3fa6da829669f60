/** What the student stated: number and unit as heard, recorded before the expected value can be uncovered. */
import { h, icon, keepFocus, key as press } from "./dom.js";
import { caseText } from "./begin.js";
import { say } from "./say.js";
import { screen } from "./screen.js";
import { uncovered } from "./uncovered.js";
import { RIGHT, VERDICT, asSaid, mmss } from "./words.js";

const SAFETY = "Values are for a training case. Facility policy, the product label, the pharmacist and licensed judgement decide; high-alert infusions need an independent double check.";

/** on: {back(), breach(), note()}. `first`: the check to open with. */
export function statedScreen(page, on, first = page.checks.find(check => !page.state.stated[check.id]?.event) ?? page.checks[0]) {
  let check = first;
  let entry = blank();
  let later = false;
  const tabs = h("nav.sv-tabs", { "aria-label": "stated values" });
  const matter = h("div.sv-main");
  const foot = h("div.feet");
  let made = null;
  made = screen(page, { title: "Stated values", cls: "sv", main: [tabs, matter], foot, refresh: draw });
  made.node.addEventListener("keydown", typed);
  draw();
  return made;

  function blank() {
    return { number: "", unit: undefined, at: null };
  }

  function draw() {
    keepFocus(made?.node, drawAll);
  }

  function drawAll() {
    tabs.replaceChildren(...page.checks.map(tab));
    const shown = page.shown(check) && !later;
    matter.replaceChildren(...(shown ? uncovered(page, check) : pad()), ...others(), h("p.safety", null, SAFETY));
    foot.replaceChildren(...(shown ? [h("button.btn.ghost", { onclick: on.note }, "Write a note"),
      h("button.btn.ghost", { onclick: () => {
        later = true;
        draw();
      } }, "It was said again"), h("button.btn", { onclick: on.back }, "Back to the list")]
      : [h("button.btn.ghost", { onclick: on.back }, "Back to the list"), h("button.brk", { onclick: on.breach }, icon("breach", 22), h("b", null, "Breach")), recordKey()]));
  }

  function tab(one) {
    const said = page.state.stated[one.id];
    const verdict = page.shown(one) && said?.event ? page.verdict(one, said)?.code : null;
    const step = one.step && page.step(one.step);
    const about = said?.event ? `said ${asSaid(said)} at ${mmss(said.at_ms)}${verdict ? `: ${VERDICT[verdict]}` : ""}` : [step && `step ${step.number}`, one.critical ? "critical" : "", "not said yet"].filter(Boolean).join(", ");
    return h(one === check ? "button.on" : "button", { "aria-pressed": String(one === check), onclick: () => {
      check = one;
      entry = blank();
      later = false;
      draw();
    } }, icon(verdict ? (page.right(one) ? "performed" : "not_performed") : said?.event ? "covered" : "open", 26), h("span", null, h("b", null, one.label ?? one.id), h("span.q", null, about)));
  }

  function pad() {
    const said = page.state.stated[check.id];
    const key = page.key(check);
    const digits = ["7", "8", "9", "4", "5", "6", "1", "2", "3", ".", "0"].map(one => h("button", { onclick: () => type(one) }, one));
    // The key's list begins with the asked unit; in the order of the alphabet it gives nothing away.
    const units = [...(key?.units ?? [])].sort((a, b) => a.localeCompare(b));
    return [
      later && h("p.warn", null, "The expected value was uncovered: what is recorded now is kept and flagged, and does not count."),
      h("div.cap", null, entry.at == null ? (said?.event ? `Recorded ${asSaid(said)} at ${mmss(said.at_ms)}. Said again? Write it anew.` : "What did the student say?") : `Said by the student at ${mmss(page.counted(entry.at))}`),
      h("div.said", { "aria-live": "polite" }, h("div.num", null, entry.number, h("i"), h("small", null, entry.unit === undefined ? "" : entry.unit ?? "no unit said"))),
      h("p.q", null, "Write what you heard, figure for figure, and the unit you heard. No unit is picked for you."),
      h("div.enter", null, h("div.pad", null, digits, h("button.alt", { onclick: () => type("") }, "take back")),
        h("div", null, h("div.cap", null, "Unit as said"), h("div.units", null, [...units, null].map(unit => {
          const button = press("", unit ?? "no unit said", entry.unit === unit, () => {
            entry.unit = unit;
            entry.at ??= page.clock.now();
            draw();
          });
          return button;
        })))),
      flap(),
    ].filter(Boolean);
  }

  function type(digit) {
    entry.at ??= page.clock.now();
    const next = digit === "" ? entry.number.slice(0, -1) : entry.number + digit;
    if (next.length <= 12 && next.split(".").length < 3) entry.number = next;
    draw();
  }

  function typed(event) {
    if (event.target.closest("textarea, input, select, dialog") || (page.shown(check) && !later)) return;
    if (/^[0-9.]$/.test(event.key)) type(event.key);
    else if (event.key === ",") type(".");
    else if (event.key === "Backspace") type("");
  }

  function ready() {
    return /\d/.test(entry.number) && entry.unit !== undefined;
  }

  function recordKey() {
    const words = ready() ? `Record as said: ${asSaid(entry)}` : /\d/.test(entry.number) ? "Now the unit, or no unit said" : "Record as said";
    return h(ready() ? "button.btn.rec" : "button.btn.rec.off", { "aria-disabled": String(!ready()), onclick: record }, words);
  }

  async function record() {
    if (!ready()) return;
    const { number, unit, at } = entry;
    const done = await page.act("stated", { check: check.id, number, unit }, at);
    if (!done) return;
    if (check.step && !page.state.steps[check.step].mark) await page.act("marked", { step: check.step, mark: "performed" }, Math.max(at, done.at_ms));
    say(`${check.label ?? check.id} recorded: ${asSaid(entry)}`);
    on.back();
  }

  function flap() {
    const may = page.mayReveal(check) && !later;
    const label = check.label ?? check.id;
    return later ? null : h("div.flap", null, h("span.lbl", null, h("b", null, `Expected ${/^[A-Z][a-z]/.test(label) ? label.toLowerCase() : label}: covered`),
      may ? "It can be uncovered now. What is said after that no longer counts." : `Covered until ${page.until(check)}. Recording does not open it; the student may correct the value until then.`),
    may && h("button.btn", { onclick: () => {
      page.act("revealed", { check: check.id });
      const said = page.state.stated[check.id];
      say(said.event ? VERDICT[page.verdict(check, said)?.code] ?? "" : "nothing was said");
    } }, "Uncover"));
  }

  function others() {
    const lines = page.checks.filter(one => one !== check && page.shown(one) && page.shown(check)).map(one => {
      const said = page.state.stated[one.id];
      const code = said.event ? page.verdict(one, said)?.code : null;
      return h("p.other", null, icon(RIGHT.includes(code) ? "performed" : "not_performed", 28), h("span", null, h("b", null, `${one.label ?? one.id} ${said.event ? `${asSaid(said)}: ${VERDICT[code] ?? "no verdict"}` : "not said"}`), h("span.q", null, ` uncovered ${mmss(said.revealed_ms)}`)));
    });
    const drawn = page.bundle.case;
    return [...lines, drawn && h("details", null, h("summary", null, "The order and its figures"), caseText(drawn))].filter(Boolean);
  }
}
