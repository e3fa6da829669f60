import assert from "node:assert/strict";
import { test } from "node:test";
import { Log } from "../../static/js/sheet/log.js";
import { MemoryStore } from "../../static/js/sheet/store.js";

const clock = { now: () => 1234 };

test("an event is shown before the disk has it, and counted as kept after", async () => {
  const store = new MemoryStore();
  const heard = [];
  const log = new Log({ store, clock, sheet: "s", by: "me", changed: event => heard.push(["changed", event.kind, log.waiting]), kept: event => heard.push(["kept", event.kind, log.waiting]) });
  const event = log.append("marked", { step: "a1", mark: "performed" });
  assert.deepEqual(heard, [["changed", "marked", 1]]);
  await new Promise(setImmediate);
  assert.deepEqual(heard.at(-1), ["kept", "marked", 0]);
  assert.equal(event.seq, 1); // the store's count, not the provisional one
  assert.deepEqual([event.at_ms, event.source, event.device], [1234, "tablet", store.device]);
  assert.match(event.wall, /^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z$/);
});

test("what is named later carries the second of the touch", () => {
  const log = new Log({ store: new MemoryStore(), clock, sheet: "s", by: "me" });
  assert.equal(log.append("prompted", { kind: "time" }, 1000).at_ms, 1000);
});

test("a disk that refuses is counted, and marking goes on", async () => {
  const store = { device: "d", add: async () => Promise.reject(new Error("full")) };
  const log = new Log({ store, clock, sheet: "s", by: "me" });
  log.append("marked", {});
  log.append("marked", {});
  await new Promise(setImmediate);
  assert.deepEqual([log.events.length, log.failed, log.waiting], [2, 2, 0]);
});

test("events from the server or another tab come in once", () => {
  const heard = [];
  const log = new Log({ store: new MemoryStore(), clock, sheet: "s", by: "me", events: [{ id: "a" }], changed: event => heard.push(event.id) });
  log.receive([{ id: "a" }, { id: "b" }]);
  log.receive([{ id: "b" }]);
  assert.deepEqual(log.events.map(event => event.id), ["a", "b"]);
  assert.deepEqual(heard, ["b"]);
});
