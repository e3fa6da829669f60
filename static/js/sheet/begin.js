/** Before the clock: whose attempt it is, how that was seen, the order of the case. */
import { h, icon, keepFocus, key } from "./dom.js";

const HOWS = ["badge or card seen", "name and number said", "known to me"];

export function beginScreen(page) {
  const { student, procedure, attempt, case: drawn } = page.bundle;
  let how = page.state.identity?.how ?? null;
  const choice = h("div.opts.three");
  const start = h("button.btn", { onclick: () => {
    if (page.rule.identity_required && !how) return;
    if (how && how !== page.state.identity?.how) page.act("identity_confirmed", { how });
    page.start();
  } }, "Start the clock");
  const show = () => {
    choice.replaceChildren(...HOWS.map(word => key("", word, word === how, () => {
      how = word;
      keepFocus(choice, show);
    })));
    start.classList.toggle("off", Boolean(page.rule.identity_required && !how));
    start.setAttribute("aria-disabled", String(Boolean(page.rule.identity_required && !how)));
  };
  show();
  return page.screen({
    title: "Before the start", cls: "begin", clock: "not started",
    main: [
      h("h2.big", { tabindex: -1 }, student.called), h("p.proc", null, procedure.title),
      h("p.q", null, [attempt.place, `attempt ${attempt.number}`, attempt.purpose, `list version ${procedure.version}`].filter(Boolean).join(" · ")),
      h("h2.h", null, "Who is it? ", h("span.q", null, page.rule.identity_required ? "confirmed before the clock starts" : "if your rule asks for it")),
      h("div.settle", null, choice),
      drawn && caseText(drawn),
      page.store.volatile && h("p.warn", null, icon("breach", 20), h("span", null, "This browser keeps nothing. Marks live on this page only until the server has them: use another tablet if you can.")),
    ],
    foot: [h("button.btn.ghost", { onclick: () => page.back() }, "Read the list first"), start],
  });
}

/** The order and the figures of the case, as the student has them. */
export function caseText(drawn) {
  return h("div.case", null, h("h2.h", null, drawn.title ?? "The order"), h("p.w", null, drawn.order),
    h("dl", null, (drawn.lines ?? []).map(line => h("div", null, h("dt", null, line.label), h("dd", null, line.value)))));
}
