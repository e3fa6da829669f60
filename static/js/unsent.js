/**
 * How many marks this tablet still holds unsent, in all and by sheet. Only reads: a tablet that never scored keeps no
 * store, and none is made for it.
 */
const STORE = "stepwitness";

async function open() {
  const known = await indexedDB.databases?.();
  if (!known?.some(db => db.name === STORE)) return null;
  return new Promise((good, bad) => {
    const asked = indexedDB.open(STORE);
    asked.onsuccess = () => good(asked.result);
    asked.onerror = () => bad(asked.error);
  });
}

function records(db) {
  return new Promise((good, bad) => {
    const asked = db.transaction("events").objectStore("events").getAll();
    asked.onsuccess = () => good(asked.result);
    asked.onerror = () => bad(asked.error);
  });
}

async function show() {
  const db = await open().catch(() => null);
  if (!db) return;
  const unsent = (await records(db).catch(() => [])).filter(record => !record.sent);
  db.close();
  const bySheet = new Map();
  for (const { sheet } of unsent) bySheet.set(sheet, (bySheet.get(sheet) ?? 0) + 1);
  for (const place of document.querySelectorAll("[data-sheet]")) {
    const count = bySheet.get(place.dataset.sheet);
    place.textContent = count ? ` · ${count} unsent on this tablet` : "";
  }
  for (const part of document.querySelectorAll("[data-unsent],[data-unsent-note]")) part.hidden = !unsent.length;
  document.querySelector("[data-unsent-count]").textContent = unsent.length;
  document.querySelector("[data-unsent-words]").textContent = unsent.length === 1 ? "mark unsent on this tablet" : "marks unsent on this tablet";
}

show();
addEventListener("pageshow", event => event.persisted && show());
document.addEventListener("visibilitychange", () => document.hidden || show());
