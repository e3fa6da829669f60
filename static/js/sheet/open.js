/** Brings a sheet onto the tablet: from the server when it answers, else as it was kept here; then starts its clock. */
import { Clock, bridge } from "./clock.js";
import { Log } from "./log.js";
import { get } from "./net.js";
import { Page } from "./page.js";
import { MemoryStore, openStore } from "./store.js";

const WHY = { 401: "You are not signed in any more. Sign in in another tab, then try again.", 403: "This sheet belongs to another evaluator.", 404: "There is no such sheet." };

/** {bundle: address, sheet: id} → Page. Rejects with {say} when there is nothing to open. */
export async function openSheet({ bundle: address, sheet }) {
  const store = await openStore().catch(() => new MemoryStore());
  navigator.storage?.persist?.().catch(() => {});
  const before = await store.sheet(sheet);
  const answer = await get(address).catch(() => null);
  if (answer?.status !== 200 && (!before || [403, 404].includes(answer?.status))) {
    throw { say: WHY[answer?.status] ?? "The server cannot be reached, and this tablet has not opened the sheet before." };
  }
  const fresh = answer?.status === 200 ? answer.body : null;
  const offset = fresh ? Date.parse(fresh.server_time) - Date.now() : null;
  const kept = { ...before, id: sheet, ...(fresh && { bundle: { ...fresh, events: [] }, offset }) };
  await store.keep(kept);
  if (fresh) await store.reached(fresh.events);
  const events = (await store.events(sheet)).map(record => record.event);
  const clock = new Clock();
  const log = new Log({ store, clock, sheet, by: kept.bundle.evaluator.opaque, events });
  const page = new Page({ kept, store, clock, log });
  page.version = kept.bundle.sheet.version;
  resume(page, before?.offset ?? null, offset);
  return page;
}

/** The clock runs on over the gap since the last event; a running clock says so in the log. */
function resume({ state, log, clock, store, ended }, offsetBefore, offset) {
  if (state.status === "not_started") return;
  const last = log.events.filter(event => event.at_ms != null).reduce((a, b) => (b.at_ms >= a.at_ms ? b : a));
  const wall = Date.parse(last.wall);
  const now = Date.now();
  const own = offsetBefore != null && last.device === store.device;
  const gap = bridge({ raw: last.at_ms, wall, server: own ? wall + offsetBefore : null }, { wall: now, server: offset == null ? null : now + offset });
  clock.run(gap.after_ms);
  if (!ended) log.append("clock_bridged", gap, gap.after_ms);
}
