/** The side of a wide screen: values said, breaks and prompts, order that must hold. */
import { h, icon } from "./dom.js";
import { DONE } from "../scoring/stated.js";
import { asSaid, mmss } from "./words.js";

export class More {
  constructor(page, node) {
    Object.assign(this, { page, node });
  }

  show(state) {
    this.node.replaceChildren(...[this.said(state), this.breaks(state), this.order(state)].filter(Boolean));
  }

  part(title, lines, beside = "") {
    return lines.length ? h("section", null, h("h2", null, h("span", null, title), h("span.q", null, beside)), lines) : null;
  }

  said(state) {
    const checks = this.page.rule.stated ?? [];
    return this.part("Stated values", checks.map(check => {
      const said = state.stated[check.id];
      const shown = said?.revealed_ms != null;
      const label = check.label ?? check.id;
      const code = !said?.event ? "open" : !shown ? "covered" : this.page.right(check) ? "performed" : "not_performed";
      return h("div.ln.tall", null, icon(code, 20), h("span", null, h("b", null, said?.event ? `${label} ${asSaid(said)}` : label),
        h("span.q", null, said?.event ? `said ${mmss(said.at_ms)}${shown ? "" : `, covered until ${check.closes_with ? this.page.step(check.closes_with).number : "finish"}`}` : "not said yet")));
    }));
  }

  breaks(state) {
    const at = one => (one.step ? `, ${this.page.step(one.step)?.number}` : "");
    const followed = one => (one.noticed === false ? "not noticed" : one.corrected ? "put right" : one.corrected === false ? "not put right" : "details open");
    const lines = [
      ...state.breaches.map(one => [one.at_ms, "breach", `${one.kind === "safety" ? "Safety" : "Asepsis"}${at(one)}`, followed(one)]),
      ...state.prompts.map(one => [one.at_ms, "prompt", `${one.kind[0].toUpperCase()}${one.kind.slice(1)} prompt${at(one)}`, ""]),
      ...state.pauses.map(one => [one.from_ms, "paused", `Paused ${mmss((one.to_ms ?? this.page.clock.now()) - one.from_ms)}`, one.reason]),
    ].sort((a, b) => a[0] - b[0]);
    return this.part("Breaks and prompts", lines.map(([ms, code, strong, rest]) => h("div.ln", null, icon(code, 20), h("b", null, strong), rest, h("span.t", null, mmss(ms)))));
  }

  order(state) {
    return this.part("Order that must hold", (this.page.rule.pairs ?? []).map(pair => {
      const [before, after] = [state.steps[pair.before], state.steps[pair.after]];
      const [first, then] = [before, after].map(seen => DONE.includes(seen.mark));
      const unsure = first && (before.caught_up || after.caught_up);
      const [code, word] = !then ? ["open", first ? "first one seen" : "not yet due"] : unsure ? ["lapse", "not to be told"]
        : !first ? ["not_performed", before.mark ? "first one not done" : "first one open"] : before.raw_ms <= after.raw_ms ? ["performed", "kept"] : ["not_performed", "other way round"];
      return h("div.ln", null, icon(code, 20), h("b", null, `${this.page.step(pair.before).number} before ${this.page.step(pair.after).number}`), word);
    }));
  }
}
