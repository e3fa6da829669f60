/** Between log, outbox and other tabs: what is stored is sent, what others tap is shown, and what stops is said. */
import { h, icon } from "./dom.js";
import { get, post } from "./net.js";
import { Outbox, advice } from "./outbox.js";

/** on: {kept(): repaint the saved state, trouble: the bar for what a person must do}. */
export function sending(page, { kept, trouble }) {
  const { store, log, bundle } = page;
  const tabs = new BroadcastChannel(`sheet-${bundle.sheet.id}`);
  tabs.onmessage = ({ data }) => log.receive([data]);
  page.unsent = 0;
  page.keptState = () => ({ total: log.events.length, waiting: log.waiting, failed: log.failed, unsent: page.unsent, volatile: Boolean(store.volatile) });

  const outbox = new Outbox({
    store, sheet: bundle.sheet.id, by: bundle.evaluator.opaque,
    refresh: () => get(document.body.dataset.bundle),
    post: async batch => {
      const answer = await post(bundle.addresses.events, batch);
      if (answer.status === 200) page.version = answer.body.version;
      return answer;
    },
    told: ({ unsent, stop, added }) => {
      page.unsent = unsent;
      if (added?.length) log.receive(added);
      show(stop);
      kept();
    },
  });
  for (const name of ["online", "focus"]) addEventListener(name, () => outbox.flush(true));
  const other = bundle.sheet.device && bundle.sheet.device !== store.device && !bundle.sheet.signed;
  if (other) show({ code: "other_device" });
  return { flush: () => outbox.flush(true), done: () => store.forget?.(bundle.sheet.id), stored: event => {
    page.unsent++; // until the outbox counts anew
    kept();
    tabs.postMessage(event);
    outbox.flush();
  } };

  function show(stop) {
    trouble.hidden = !stop;
    if (!stop) return;
    const act = stop.code === "other_device" ? takeOver : () => outbox.flush(true);
    trouble.replaceChildren(h("button", { onclick: act }, icon("lapse", 26), h("span", null, advice(stop))));
  }

  async function takeOver() {
    const answer = await post(bundle.addresses.take_over, { device: store.device }).catch(() => null);
    if (answer?.status !== 200) return show({ code: "", message: "", status: answer?.status ?? "no network" });
    log.append("taken_over", bundle.sheet.device ? { from: bundle.sheet.device } : {});
    page.version = answer.body.version;
    show(null);
    return outbox.flush(true);
  }
}
