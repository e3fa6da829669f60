/** Several steps of a section at once, seen but not touched when they happened: flagged as caught up. */
import { ask } from "./ask.js";
import { h, put } from "./dom.js";
import { say } from "./say.js";
import { some } from "./words.js";

export async function catchUp(page, section) {
  const open = section.steps.filter(step => !page.state.steps[step.id].mark && page.marksOf(step).includes("performed"));
  if (!open.length) return say(`every step of section ${section.letter} is marked`);
  const picked = await ask(`Catch up ${section.letter}, ${section.title}`, done => {
    const boxes = open.map(step => h("input", { type: "checkbox", value: step.id, id: `c-${step.id}`, onchange: () => count() }));
    const go = h("button.btn", { onclick: () => chosen().length && done(chosen()) });
    const chosen = () => boxes.filter(box => box.checked).map(box => box.value);
    const count = () => put(go, chosen().length ? `Mark ${some(chosen().length, "step")} performed` : "Pick what was performed");
    count();
    return h("div", null, h("p.q", null, "Marked as performed and caught up: the tap time says nothing about order or limit."),
      h("div.ticks", null, open.map((step, i) => h("label", null, boxes[i], h("b", null, step.number), h("span", null, step.text)))),
      h("div.end", null, h("button.btn.ghost", { onclick: () => {
        for (const box of boxes) box.checked = true;
        count();
      } }, "all of them"), go));
  });
  for (const step of picked ?? []) await page.act("marked", { step, mark: "performed", caught_up: true });
  if (picked) say(`${some(picked.length, "step")} caught up`);
}
