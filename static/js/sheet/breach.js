/** A break in asepsis or safety: stamped at the touch; its kind, step and what followed may be told then or later. */
import { ask, keys } from "./ask.js";
import { h } from "./dom.js";
import { say } from "./say.js";
import { stepChoice } from "./prompt.js";
import { mmss } from "./words.js";

export const FOLLOWED = [["", "noticed, put right", { noticed: true, corrected: true }], ["", "noticed, not put right", { noticed: true, corrected: false }], ["", "not noticed", { noticed: false }]];

export async function breach(page, event) {
  const time = mmss(page.counted(event.at_ms));
  say(`breach stamped ${time}`);
  const told = await ask(`Breach, ${time}`, done => {
    const choice = stepChoice(page, event.payload.step);
    const kinds = h("div.opts", null, ["asepsis", "safety"].map(kind => h("button", { "aria-pressed": String(kind === "asepsis"), onclick: async click => {
      for (const other of kinds.children) other.setAttribute("aria-pressed", String(other === click.currentTarget));
      event = await restamp(page, event, { kind });
    } }, h("span", null, kind))));
    choice.addEventListener("change", async () => (event = await restamp(page, event, { step: choice.value || null })));
    return h("div", null, h("div.two", null, kinds, choice), keys(FOLLOWED, done));
  }, { beside: true, later: "tell it later" });
  if (told) detail(page, event, told);
}

/** Kind and step belong to the stamp: the stamp is replaced, its second stays. */
async function restamp(page, event, change) {
  const reason = event.payload.reason ? { reason: event.payload.reason } : {};
  await page.act("retracted", { event: event.id, ...reason });
  return page.act("breach", { ...event.payload, ...change }, event.at_ms);
}

export function detail(page, event, told) {
  const { kind, reason } = event.payload ?? event;
  return page.act("breach", { kind, of: event.id, ...(reason && { reason }), ...told });
}
