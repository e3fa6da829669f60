/** Finish, first page: what is open is settled, the judgement given, a comment written. No outcome is shown here. */
import { detail, FOLLOWED } from "./breach.js";
import { h, icon, key, put } from "./dom.js";
import { say } from "./say.js";
import { screen } from "./screen.js";
import { RATING, WORD, asSaid, mmss, some } from "./words.js";

const OPEN = ["performed", "said", "not_performed", "not_observed", "not_applicable"];
const CHOICES = { pair: ["kept", "broken"], gap: ["kept", "broken"], time: ["in_time", "late"], step: ["performed", "not_performed"], stated: ["right", "wrong"], breach: ["kept", "broken"], prompts: ["kept", "broken"], identity: ["kept", "broken"] };
const CHOICE = { kept: "kept", broken: "not kept", in_time: "in time", late: "too late", performed: "performed", not_performed: "not performed", right: "right", wrong: "wrong" };

/** on: {back(), outcome(), stated(check)}. */
export function settleScreen(page, on) {
  const asked = new Map(); // what was asked stays in its place with its answer
  const count = h("span");
  const things = h("div");
  const rate = h("div.rate");
  const sofar = h("div.sofar");
  const next = h("button.btn", { onclick: () => (ready() ? on.outcome() : say(missing())) }, "See the outcome");
  const wait = h("span.q.why", { role: "status" });
  const comment = commentField(page);
  const made = screen(page, {
    title: "Finish, 1 of 2: settle", refresh: draw,
    main: [h("h2.h", null, count, h("span.q", null, "no outcome is shown before this")), things,
      h("h2.h", null, "Overall judgement ", h("span.q", null, "given before the outcome is shown; stands beside the list, never replaces it")), rate, comment.node, sofar],
    foot: [h("button.btn.ghost", { onclick: () => leave(on.back) }, "Back to the list"), wait, next],
  });
  draw();
  return made;

  function leave(to) {
    comment.keep();
    to();
  }

  function draw() {
    const { state } = page;
    for (const step of page.steps) if (!step.optional && !state.steps[step.id].mark) ask(`step:${step.id}`, { step, open: true });
    for (const breach of state.breaches) if (breach.noticed == null || (breach.noticed && breach.corrected == null)) ask(`breach:${breach.id}`, { breach: breach.id });
    const left = page.decision().settle;
    for (const { type, id, why } of left) {
      if (type === "step" || type === "breach") continue;
      if (type === "time" && page.step(id)) ask(`step:${id}`, { step: page.step(id) });
      // A limit that caught-up steps leave open is asked at those steps; itself only when they leave it open still.
      const limit = type === "time" ? page.rule.limits.find(one => one.id === id) : null;
      const caught = limit?.of ? page.steps.filter(step => state.steps[step.id].caught_up && [step.id, page.rule.steps[step.id].section].includes(limit.of)) : [];
      for (const step of caught) ask(`step:${step.id}`, { step, limit });
      if (!(type === "time" && page.step(id)) && caught.every(step => state.steps[step.id].in_time)) ask(`${type}:${id}`, { type, id, why });
    }
    const open = new Set(left.map(({ type, id }) => `${type}:${id}`));
    things.replaceChildren(...[...asked.values()].map(thing => thing.draw(open)));
    put(count, asked.size ? `${some(asked.size, "thing")} to settle` : "Nothing to settle");
    rate.replaceChildren(...RATING.slice(1).map((word, i) => h("button", { "aria-pressed": String(state.rating === i + 1), disabled: Boolean(page.kept.seen), onclick: () => page.act("rated", { rating: i + 1 }) }, h("b", null, i + 1), word)));
    const marked = page.steps.filter(step => state.steps[step.id].mark);
    const caught = marked.filter(step => state.steps[step.id].caught_up).length;
    const said = page.checks.filter(check => state.stated[check.id]?.event);
    sofar.replaceChildren(...[
      fact("performed", `${marked.length} of ${page.steps.length} marked`, caught ? `${caught} of them caught up` : "all at their time"),
      page.checks.length && fact("pad", `${some(said.length, "value")} said`, said.map(check => `${check.label ?? check.id} ${mmss(state.stated[check.id].at_ms)}`).join(", ") || "none"),
      fact("breach", state.breaches.length ? some(state.breaches.length, "breach", "breaches") : "no breach", state.breaches.map(one => mmss(one.at_ms)).join(" and ")),
      fact("prompt", state.prompts.length ? some(state.prompts.length, "prompt") : "no prompt", state.prompts.map(one => mmss(one.at_ms)).join(" and "))].filter(Boolean));
    next.classList.toggle("off", !ready());
    next.setAttribute("aria-disabled", String(!ready()));
    put(wait, missing() || "The judgement closes when you see the outcome");
  }

  function missing() {
    const open = page.decision().settle.length;
    return [open && `${some(open, "thing")} still to settle`, !page.state.rating && "the judgement is not given yet"].filter(Boolean).join("; ");
  }

  function ready() {
    return !missing();
  }

  function ask(id, thing) {
    if (!asked.has(id)) asked.set(id, { draw: open => (thing.step ? step(thing, open) : thing.breach ? breach(thing.breach) : other(thing)) });
  }

  function box(mark, number, text, beside, ...rows) {
    return h("div.settle", { role: "group", "aria-label": text }, h("div.txt", null, mark, h("span", null, number), h("span", null, text)), h("div.side2.q", null, beside), rows);
  }

  /** A step that was open, or a caught-up one whose time matters. */
  function step({ step: one, open: wasOpen, limit }, open) {
    const seen = page.state.steps[one.id];
    const marks = OPEN.filter(code => page.marksOf(one).includes(code));
    const set = (mark, more) => page.act("marked", { step: one.id, mark, caught_up: true, ...more });
    const options = wasOpen && h("div.opts", null, marks.map(code => key(code, code === "performed" ? "performed, caught up" : WORD[code], seen.mark === code, () => set(code))));
    const matters = seen.caught_up && seen.mark && (open.has(`time:${one.id}`) || (limit && open.has(`time:${limit.id}`)) || seen.in_time);
    const yn = matters && h("div.ask", null, h("span", null, h("b", null, "In time?"), h("span.q", null, "A limit matters here, and a caught-up mark has no time of its own.")),
      h("div.yn", null, ["yes", "no", "unsure"].map(word => key("", word, seen.in_time === word, () => set(seen.mark, { in_time: word })))));
    const unsure = seen.in_time === "unsure" && !limit && verdicts("time", one.id);
    return box(icon(seen.mark ?? "open", 26), one.number, one.text, wasOpen ? "was open" : "caught up", options, yn, unsure);
  }

  function breach(id) {
    const one = page.state.breaches.find(breach => breach.id === id);
    if (!one) return "";
    const at = one.step ? page.step(one.step) : null;
    const is = told => one.noticed === told.noticed && (told.corrected === undefined || one.corrected === told.corrected);
    return box(icon("breach", 26), at?.number ?? "", `${one.kind === "safety" ? "Safety" : "Asepsis"}${at ? `: ${at.text}` : ""}`, `stamped ${mmss(one.at_ms)}`,
      h("div.opts.three", null, FOLLOWED.map(([, word, told]) => key("", word, is(told), () => detail(page, one, told)))));
  }

  function other({ type, id, why }) {
    const check = type === "stated" && page.checks.find(one => one.id === id);
    const said = check && page.state.stated[id];
    return box(icon(check ? "pad" : "lapse", 26), "", name(type, id), WHY[why] ?? "",
      check && !said?.event ? h("div.opts", null, key("pad", "it was said: record it now", false, () => leave(() => on.stated(check)))) : null, verdicts(type, id));
  }

  function name(type, id) {
    const number = step => page.step(step)?.number;
    const find = list => (page.rule[list] ?? []).find(one => one.id === id);
    if (type === "pair") return `Was step ${number(find("pairs").before)} done before step ${number(find("pairs").after)}?`;
    if (type === "gap") return `Was the time between steps ${number(find("gaps").from)} and ${number(find("gaps").to)} kept?`;
    if (type === "identity") return "Was the student’s identity seen?";
    if (type === "stated") {
      const check = find("stated");
      const said = page.state.stated[id];
      return said?.event ? `${check.label ?? id}: ${asSaid(said)}` : `${check.label ?? id} was not said`;
    }
    if (type === "time") return `Was the time limit of ${mmss(find("limits")?.limit_ms)} kept?`;
    return `${type}: was it kept?`;
  }

  /** Two verdicts, one of which is recorded with a reason. */
  function verdicts(type, id) {
    const settled = page.state.settled[`${type}:${id}`];
    const reason = h("input", { "aria-label": "reason", placeholder: "with this reason", maxlength: 400 });
    reason.value = settled?.reason ?? drafts.get(`${type}:${id}`) ?? "";
    reason.addEventListener("input", () => drafts.set(`${type}:${id}`, reason.value));
    return h("div.ask", null, h("span", null, h("b", null, "You decide, with a reason"), reason), h("div.yn.duo", null, CHOICES[type].map(verdict => key("", CHOICE[verdict], settled?.verdict === verdict, () => {
      if (reason.value.trim()) page.act("settled", { about: { type, id }, verdict, reason: reason.value.trim() });
      else {
        say("Write the reason first");
        reason.focus();
      }
    }))));
  }
}

const drafts = new Map();
const WHY = { caught_up: "a caught-up mark has no place in the order", not_stated: "no statement was recorded", unreadable: "cannot be read as a number", no_verdict: "no verdict yet", time_unclear: "the clock leaves it open", identity_missing: "the rule asks for it" };
const fact = (code, strong, rest) => h("span", null, icon(code, 20), h("span", null, h("b", null, strong), h("span.q", null, rest)));

/** The comment on the whole; phrases come from the steps that were missed, then from the others. */
function commentField(page) {
  const text = h("textarea.cmt", { rows: 3, "aria-label": "Comment", maxlength: 4000 });
  const before = page.state.notes.filter(note => !note.step).at(-1);
  text.value = before?.text ?? "";
  let kept = before;
  const bank = [...page.steps].sort((a, b) => rank(page, a) - rank(page, b)).flatMap(step => step.phrases ?? []);
  const keep = () => {
    const now = text.value.trim();
    if (now === (kept?.text ?? "")) return;
    if (kept) page.log.append("retracted", { event: kept.id });
    kept = now ? { id: page.log.append("noted", { text: now }).id, text: now } : null;
  };
  text.addEventListener("change", keep);
  const buttons = h("div.bank");
  const show = most => buttons.replaceChildren(...[...new Set(bank)].slice(0, most).map(phrase => h("button", { onclick: () => {
    text.value = [text.value.trim(), phrase].filter(Boolean).join(" ");
    keep();
  } }, `+ ${phrase}`)), ...(bank.length > most ? [h("button", { onclick: () => show(40) }, "more")] : []));
  show(3);
  return { keep, node: h("div", null, h("h2.h", null, "Comment ", h("span.q", null, bank.length ? "with phrases of the steps" : "")), text, buttons) };
}

function rank(page, step) {
  const { mark } = page.state.steps[step.id];
  return mark && mark !== "performed" && mark !== "not_applicable" ? 0 : 1;
}
