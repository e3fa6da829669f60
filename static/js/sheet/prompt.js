/** A cue given by the evaluator: counted at the touch, its kind said at once. */
import { ask, keys } from "./ask.js";
import { h } from "./dom.js";
import { say } from "./say.js";

export async function prompt(page, at) {
  const choice = stepChoice(page, page.doing()?.id ?? null);
  const kind = await ask("Prompt given", done => h("div", null, choice,
    keys([["prompt", "time: how long is left", "time"], ["prompt", "general: think again", "general"], ["prompt", "specific: names the step", "specific"]], done)),
  { beside: true, later: "no prompt" });
  if (!kind) return;
  page.act("prompted", { step: choice.value || null, kind }, at);
  say(`${kind} prompt noted`);
}

/** The step it belongs to; the one being done is picked, another can be. */
export function stepChoice(page, picked) {
  const choice = h("select", { "aria-label": "at step" }, h("option", { value: "" }, "at no step"),
    page.steps.map(step => h("option", { value: step.id }, `at ${step.number}, ${step.text}`)));
  choice.value = picked ?? "";
  return choice;
}
