/** Pause with a reason, resume, stop early with a reason. A pause without a reason would count as time used. */
import { ask, askText, keys } from "./ask.js";
import { h } from "./dom.js";
import { say } from "./say.js";

const REASONS = ["fire alarm", "equipment failed", "someone was needed elsewhere"];
const STOPS = [["breach", "safety: it would have harmed", "safety"], ["lapse", "the time is over", "time"], ["", "the student stops", "student"], ["", "the lab failed: the attempt is void", "lab"]];

export async function clockTouched(page, at) {
  const { status } = page.state;
  if (status === "not_started") return page.begin();
  if (status === "paused") {
    page.act("resumed");
    return say("the clock runs on");
  }
  if (status !== "running") return page.settle();
  const what = await ask("The clock", done => h("div", null, h("p.q", null, "A pause with a reason is not counted as time used. Touching the list still marks steps."),
    keys([...REASONS.map(reason => ["paused", `pause: ${reason}`, { reason }]), ["paused", "pause: another reason", { other: true }], ["close", "stop early", { stop: true }]], done)));
  if (!what) return;
  if (what.stop) return stop(page, at);
  const reason = what.reason ?? (await askText("Pause", "Why does the clock stand?", "Pause"));
  if (!reason) return;
  page.act("paused", { reason }, at);
  say(`paused: ${reason}`);
}

async function stop(page, at) {
  const reason = await ask("Stop early", done => h("div", null, h("p.q", null, "The attempt ends here. What was seen stays marked; the rest can be caught up."), keys(STOPS, done)));
  if (!reason) return;
  const text = await askText("Stop early", "What happened?", "Stop the attempt");
  if (!text) return;
  page.act("stopped", { reason, text }, at);
  say("the attempt is stopped");
  page.settle();
}
