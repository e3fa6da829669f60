/** The list of steps: each row is a button that means "performed, now"; the turned corner opens the other marks. */
import { h, icon, put, remark } from "./dom.js";
import { WORD, asSaid, mmss, some } from "./words.js";

const TONE = { self_corrected: "c-carbon", prompted: "c-amber", said: "c-amber", not_performed: "c-verm", not_observed: "c-amber" };

export class List {
  /** on: {touch(step), corner(step, row), catchUp(section), finish()}. */
  constructor(page, on) {
    this.page = page;
    this.rows = new Map();
    this.parts = page.sections.map(section => this.section(section, on));
    this.end = h("span.q");
    this.node = h("section.list", { "aria-label": "steps", onkeydown: event => this.walk(event) }, this.parts.map(part => part.node),
      h("button.endrow", { onclick: on.finish }, icon("note", 26), h("span", null, h("b", null, "Finish"), this.end)));
  }

  section(section, on) {
    const count = h("span.n");
    const head = h("div.sect", null, h("span.let", { "aria-hidden": "true" }, section.letter), h("h2", null, section.title), count,
      h("button.catch", { onclick: () => on.catchUp(section), "aria-label": `catch up section ${section.letter}` }, "catch up"));
    return { section, head, count, node: h("div.sg", { role: "group", "aria-label": `Section ${section.letter}, ${section.title}` }, head, section.steps.map(step => this.row(step, on))) };
  }

  row(step, on) {
    const row = { step, tm: h("span.tm"), mark: icon("open", 28), stone: step.critical ? icon("critical") : null, word: h("span.wd") };
    const { before, cue } = this.page.above(step);
    row.go = h("button.go", { onclick: () => on.touch(step) }, row.tm, h("span.mk", null, row.mark), h("span.no", null, row.stone, h("span", null, step.number)),
      h("span.tx", null, step.text, step.subpoints?.length ? h("small", null, step.subpoints.join(" · ")) : null,
        before || cue ? h("small", null, before, h("span.lg", null, before && cue ? " · " : "", cue)) : null), row.word);
    row.ear = h("button.ear", { "aria-label": `other marks for step ${step.number}`, "aria-expanded": "false", onclick: () => on.corner(step, row) });
    row.node = h("div.st", { id: `s-${step.id}` }, row.go, row.ear);
    this.rows.set(step.id, row);
    return row.node;
  }

  /** Up and down walk along the rows, left and right between row and corner; Tab works as ever. */
  walk(event) {
    const own = event.target.closest(".go, .ear");
    const all = [...this.rows.values()];
    const at = own ? all.findIndex(row => row.go === own || row.ear === own) : -1;
    if (at < 0) return;
    const corner = own === all[at].ear;
    const to = { ArrowDown: [at + 1, corner], ArrowUp: [at - 1, corner], ArrowRight: [at, true], ArrowLeft: [at, false], Home: [0, corner], End: [all.length - 1, corner] }[event.key];
    if (!to || !all[to[0]]) return;
    event.preventDefault();
    all[to[0]][to[1] ? "ear" : "go"].focus();
  }

  show(state) {
    for (const row of this.rows.values()) this.showRow(row, state);
    let open = 0;
    for (const { section, head, count } of this.parts) {
      const marked = section.steps.filter(step => state.steps[step.id].mark).length;
      open += section.steps.filter(step => !step.optional && !state.steps[step.id].mark).length;
      put(count, `${marked} of ${section.steps.length}`);
      head.classList.toggle("cur", section === this.page.currentSection());
    }
    put(this.end, open ? `${some(open, "step")} still open; each will be asked for` : "every step is marked");
  }

  showRow(row, state) {
    const { step } = row;
    const seen = state.steps[step.id];
    const covered = this.page.covered(step.id);
    const said = covered && state.stated[covered.id];
    const timing = this.page.timing.get(step.id);
    const word = timing != null ? "timing: touch to stop" : said ? "said, covered" : seen.mark ? WORD[seen.mark] : step.critical ? "critical" : "";
    const time = seen.caught_up ? "" : mmss(seen.at_ms);
    const more = [seen.caught_up ? "caught up" : "", this.page.under(step)].filter(Boolean).join(", ");
    const key = [seen.mark, word, time, more, said?.event].join();
    if (key === row.key) return;
    row.key = key;
    row.node.className = `st ${seen.mark ? "done" : "open"}${step.critical ? " crit" : ""}${timing != null ? " timing" : ""}`;
    remark(row.mark, said ? "covered" : seen.mark ?? "open");
    if (row.stone) remark(row.stone, seen.mark ? "critical_line" : "critical");
    put(row.tm, time);
    row.word.className = `wd ${said ? "" : seen.mark ? TONE[seen.mark] ?? "" : step.critical ? "cr" : ""}`;
    row.word.replaceChildren(word, h("span.at", null, ` ${time}`), more ? h("span.cu", null, ` ${more}`) : "");
    row.go.setAttribute("aria-label", [`step ${step.number}`, step.text, said ? `said ${asSaid(said)}, covered` : word || "open", time, more, this.page.above(step).before].filter(Boolean).join(", "));
  }

  goTo(id) {
    const { node, go } = this.rows.get(id);
    node.scrollIntoView({ block: "center" });
    go.focus({ preventScroll: true });
  }
}
