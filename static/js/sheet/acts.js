/** The actions under the thumbs: undo and redo at one end, the breach at the other. */
import { h, icon, put } from "./dom.js";
import { WORD, some } from "./words.js";

export class Acts {
  /** on: {undo, redo, prompt, stated, breach, finish}. */
  constructor(page, on) {
    this.page = page;
    const act = (cls, code, word, onclick, short) => {
      const long = h("span.lg");
      const brief = h("span.sm", null, short);
      const node = h(`button.${cls}`, { onclick }, icon(code, cls === "brch" ? 32 : 26), h("span", null, h("b", null, word), h("span.q", null, long, brief)));
      return { node, tell: (text, few = text) => (put(long, text), put(brief, few)) };
    };
    this.undo = act("und", "undo", "Undo", on.undo);
    this.redo = act("redo", "undo", "Redo", on.redo);
    this.prompt = act("prm", "prompt", "Prompt", on.prompt);
    this.stated = page.rule.stated?.length ? act("val", "pad", "Stated", on.stated) : null;
    this.stated?.node.querySelector("b").append(h("span.lg", null, " values"));
    this.breach = act("brch", "breach", "Breach", on.breach);
    this.breach.tell("stamps this second", "stamp now");
    this.finish = act("fin", "note", "Finish", on.finish);
    this.node = h("nav.acts", { "aria-label": "always in reach" }, [this.undo, this.redo, this.prompt, this.stated, this.breach, this.finish].map(one => one?.node));
  }

  show(state) {
    for (const name of ["undo", "redo"]) {
      const event = this.page.event(state[name]);
      this[name].node.setAttribute("aria-disabled", String(!event));
      this[name].tell(event ? this.what(event) : "nothing", event ? this.what(event, true) : "–");
    }
    put(this.prompt.node.querySelector(".lg"), `${state.prompts.length} given`);
    put(this.prompt.node.querySelector(".sm"), `${state.prompts.length} given`);
    const checks = this.page.rule.stated ?? [];
    const said = checks.filter(check => state.stated[check.id]?.event);
    this.stated?.tell(said.length ? `${said.map(check => check.label ?? check.id).join(" and ")} said` : "none said yet", `${said.length} of ${checks.length} said`);
    const open = this.page.steps.filter(step => !step.optional && !state.steps[step.id].mark).length;
    this.finish.tell(open ? `${some(open, "step")} open` : "all marked");
  }

  /** What an undo would take back, in few words. */
  what(event, brief) {
    const { kind, payload } = event;
    if (kind === "retracted") return this.what(this.page.event(payload.event) ?? event, brief);
    const step = this.page.step(payload.step);
    const at = step ? `${brief ? "step " : ""}${step.number}` : "";
    const word = { marked: WORD[payload.mark], breach: payload.of ? "breach details" : "breach", prompted: "prompt", noted: "note", rated: "judgement", stated: "stated value", identity_confirmed: "identity", measured: "measure", timed: "time taken", settled: "settlement" }[kind] ?? kind;
    return brief && step ? at : [at, word].filter(Boolean).join(" ");
  }
}
