/** A measured step: the number and unit the evaluator read. */
import { ask, submit } from "./ask.js";
import { h } from "./dom.js";

const NUMBER = /^-?\d{1,15}(\.\d{1,12})?$/;

export async function measure(page, step) {
  const { unit, target, tolerance } = step.measured;
  const aim = [target && `Aim: ${target} ${unit}`, tolerance && `give or take ${tolerance}`].filter(Boolean).join(", ");
  const given = await ask(`Step ${step.number}: measured`, done => {
    const field = (label, name) => h("label.pw", null, h("span.cap", null, label), h("input", { name, inputmode: "decimal", autocomplete: "off", maxlength: 20 }));
    const value = field(`What the student’s reading was, in ${unit}`, "value");
    const expected = field("Your own reading, if you took one", "expected");
    const wrong = h("p.c-verm", { role: "alert" });
    return h("form", { onsubmit: event => {
      event.preventDefault();
      const [read, own] = [value, expected].map(label => label.lastChild.value.trim().replace(",", "."));
      if (!NUMBER.test(read) || (own && !NUMBER.test(own))) wrong.textContent = "Write a plain number, such as 16 or 36.8.";
      else done({ value: read, ...(own && { expected: own }) });
    } }, aim ? h("p.q", null, aim) : null, value, expected, wrong, h("div.end", null, submit("Record the reading")));
  });
  if (given) page.act("measured", { step: step.id, unit, ...given });
  return Boolean(given);
}
