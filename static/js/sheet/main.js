/** Opens the sheet: storage, bundle, clock, then the page; wires touches to events and events to what is shown. */
import { Acts } from "./acts.js";
import { keepAwake } from "./awake.js";
import { beginScreen } from "./begin.js";
import { bringMarks, h, icon, put } from "./dom.js";
import { closeDrawer, openDrawer } from "./drawer.js";
import { Head } from "./head.js";
import { List } from "./list.js";
import { openSheet } from "./open.js";
import { say } from "./say.js";
import { screen, show, shown } from "./screen.js";
import { sending } from "./sending.js";
import { WORD } from "./words.js";

// What is not needed for the first mark comes a moment later, and is there before it is touched.
const rest = async () => {
  const [part] = await Promise.all([import("./rest.js"), (restStyle ??= style(document.body.dataset.style))]);
  return part;
};
let restStyle = null;
// Nor is the picture of the attempt: nothing is marked on it, so it is drawn once it has come.
let strip = null;
const drawRibbon = (page, place) => strip?.drawRibbon(page, place);
const root = document.getElementById("sheet");

function build(page) {
  const back = () => show(null);
  Object.assign(page, { back, screen: parts => screen(page, parts), begin, settle, start });
  const list = new List(page, { touch, corner, catchUp: section => started() && during("catchUp", section), finish });
  const head = new Head(page, { clock: () => during("clockTouched"), goTo: id => list.goTo(id) });
  const beside = h("div.more");
  let more = null;
  const acts = new Acts(page, { undo: () => retract("undo", "undone"), redo: () => retract("redo", "done again"), prompt: () => started() && during("prompt"), stated, breach, finish });
  const ribbon = h("section.sc-rib", { "aria-label": "course of the attempt" });
  const trouble = h("div.trouble", { role: "alert", hidden: true });
  root.className = "sc";
  root.replaceChildren(h("div.side", null, head.who, head.clock, head.arch, beside, head.kept), ribbon, list.node, acts.node, trouble);
  const outbox = sending(page, { kept: () => head.showKept(page.keptState()), trouble });
  let over = false;
  let waiting = false;

  page.log.changed = event => {
    const before = page.state.status;
    page.fold();
    if (event?.kind === "started" || (before === "not_started" && page.state.status !== before)) runClock();
    list.show(page.state);
    acts.show(page.state);
    head.show(page.state);
    if (!waiting) requestAnimationFrame(() => setTimeout(later)); // the row is painted first
    waiting = true;
  };
  page.log.kept = event => {
    head.showKept(page.keptState());
    if (event) outbox.stored(event);
  };
  setInterval(tick, 250);
  Promise.all([import("./strip.js"), style(document.body.dataset.ribbon)]).then(([part]) => {
    strip = part;
    new ResizeObserver(() => drawRibbon(page, ribbon)).observe(ribbon);
    drawRibbon(page, shown()?.ribbon ?? ribbon);
  }, () => say("The picture of the attempt did not come; marking goes on."));
  document.addEventListener("visibilitychange", () => keepAwake(page.state.status === "running"));
  addEventListener("beforeunload", event => (page.log.waiting || page.store.volatile) && event.preventDefault());
  page.log.changed();
  outbox.flush();
  if (page.bundle.sheet.signed) signed({ state: "signed" });
  else if (page.kept.seen) outcome();
  else if (page.state.status === "not_started") begin();
  else if (page.ended) settle();
  else fetchRest();

  function later() {
    waiting = false;
    more?.show(page.state);
    head.showKept(page.keptState());
    shown()?.refresh();
    drawRibbon(page, ribbon);
    if (shown()) drawRibbon(page, shown().ribbon);
    keepAwake(page.state.status === "running");
  }

  let ticks = 0;
  function tick() {
    const now = head.tick(page.state);
    shown()?.tick();
    if (now && !over) say("the time limit is reached");
    over = now;
    if (++ticks % 20 === 0 && page.state.status === "running") drawRibbon(page, shown()?.ribbon ?? ribbon);
  }

  function runClock() {
    if (!page.clock.running) page.clock.run(Math.max(0, ...page.log.events.map(event => event.at_ms ?? 0)));
  }

  function begin() {
    show(beginScreen(page));
  }

  function start() {
    page.act("started");
    say("the clock runs");
    back();
    fetchRest();
  }

  /** Stamped before anything else: its details may come later, or never. */
  async function breach() {
    if (!started()) return;
    const event = await page.act("breach", { kind: "asepsis", step: page.doing()?.id ?? null });
    if (event) during("breach", event);
  }

  async function during(name, ...args) {
    const at = page.clock.now(); // the second of the touch, however long the part takes to come
    return (await rest())[name](page, ...args, at);
  }

  function started() {
    if (page.state.status !== "not_started") return true;
    begin();
    return false;
  }

  function mark(step, code) {
    page.timing.delete(step.id);
    const done = page.act("marked", { step: step.id, mark: code, ...(page.ended && { caught_up: true }) });
    say(`${step.number} ${WORD[code]}`);
    return done;
  }

  function touch(step) {
    if (!started()) return;
    const check = page.checks.find(one => one.step === step.id);
    const row = list.rows.get(step.id);
    if (check) return stated(null, check);
    if (page.timing.has(step.id)) {
      page.act("timed", { step: step.id, start_ms: page.timing.get(step.id), stop_ms: page.clock.now() });
      mark(step, "performed");
    } else if (page.state.steps[step.id].mark) corner(step, row);
    else if (step.timed && !page.ended) {
      page.timing.set(step.id, page.clock.now());
      page.log.changed();
      say(`timing step ${step.number}; touch again when it ends`);
    } else {
      closeDrawer();
      mark(step, "performed");
      if (step.measured) during("measure", step);
    }
  }

  function corner(step, row) {
    if (!started()) return;
    openDrawer(row, page.marksOf(step), page.state.steps[step.id].mark, { mark: code => mark(step, code), note: () => note(step), measure: step.measured ? () => during("measure", step) : null });
  }

  async function note(step) {
    const { askText } = await rest();
    const text = await askText(`Note at step ${step.number}`, step.text, "Keep the note", { phrases: step.phrases ?? [] });
    if (text) page.act("noted", { step: step.id, text });
  }

  function retract(which, word) {
    const event = page.event(page.state[which]);
    if (!event) return;
    const what = acts.what(event);
    page.act("retracted", { event: event.id });
    say(`${word}: ${what}`);
  }

  async function stated(_, check) {
    if (!started()) return;
    const { statedScreen } = await rest();
    show(statedScreen(page, { back, breach, note: () => note(page.doing()) }, check?.id ? check : undefined));
    drawRibbon(page, shown().ribbon);
  }

  function finish() {
    if (!started()) return;
    if (!page.ended) page.act("finished");
    settle();
  }

  async function finishing() {
    const part = await rest();
    Object.assign(page, { decide: part.decide, askText: part.askText });
    return part;
  }

  async function settle() {
    const { settleScreen } = await finishing();
    show(settleScreen(page, { back, outcome, stated: check => stated(null, check) }));
    drawRibbon(page, shown().ribbon);
  }

  async function outcome() {
    const { outcomeScreen } = await finishing();
    for (const check of page.checks) if (!page.shown(check)) page.act("revealed", { check: check.id });
    page.kept.seen = true;
    await page.store.keep(page.kept);
    show(outcomeScreen(page, { back, send: () => outbox.flush(), unsent: () => page.unsent, done: answer => {
      outbox.done();
      signed(answer);
    } }));
    drawRibbon(page, shown().ribbon);
  }

  async function signed(answer) {
    show((await finishing()).signedScreen(page, answer));
  }

  async function fetchRest() {
    const part = await rest().catch(() => null); // no network: asked for again when it is needed
    if (!part || more) return;
    more = new part.More(page, beside);
    more.show(page.state);
  }
}

function style(href) {
  return new Promise((good, bad) => document.head.append(h("link", { rel: "stylesheet", href, onload: good, onerror: () => {
    restStyle = null;
    bad(new Error("style"));
  } })));
}

bringMarks(document.body.dataset.marks).catch(() => {}); // the words beside the marks remain
openSheet(document.body.dataset).then(build, problem => {
  root.replaceChildren(h("div.cannot", null, icon("lapse", 44), h("h1", null, "The sheet cannot be opened"), h("p", null, problem.say ?? "Something went wrong while opening it. Reload the page; what was marked on this tablet is kept."), h("p", null, h("a", { href: "" }, "Try again"))));
  put(document.getElementById("say"), "The sheet cannot be opened");
  if (!problem.say) console.error(problem);
});
