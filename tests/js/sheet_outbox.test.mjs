import assert from "node:assert/strict";
import { test } from "node:test";
import { Outbox, advice } from "../../static/js/sheet/outbox.js";
import { MemoryStore } from "../../static/js/sheet/store.js";

const ME = "me";

/** A store with events of mine, an outbox whose server answers from a list, and what happened. */
async function setUp(count, answers, { others = 0 } = {}) {
  const store = new MemoryStore();
  for (let i = 0; i < count + others; i++) await store.add({ id: `e${i}`, sheet: "s", by: i < count ? ME : "somebody else" });
  const seen = { batches: [], told: [], waits: [], refreshed: 0 };
  const outbox = new Outbox({
    store, sheet: "s", by: ME, locks: null, chance: () => 0.5, later: (work, wait) => seen.waits.push(wait),
    refresh: async () => seen.refreshed++, told: news => seen.told.push(news),
    post: async ({ events, device }) => {
      seen.batches.push(events.map(event => event.id));
      assert.equal(device, store.device);
      const answer = answers.length > 1 ? answers.shift() : answers[0];
      if (answer === "no network") throw new TypeError("failed to fetch");
      if (typeof answer === "number") return { status: answer, body: {} };
      return answer ?? { status: 200, body: { results: events.map(({ id }) => ({ id, status: "stored" })), added: [] } };
    },
  });
  return { outbox, seen, store };
}

test("events go in the order of their count, each once, and count as arrived only by the server's word", async () => {
  const { outbox, seen } = await setUp(250, [undefined]);
  await outbox.flush();
  assert.deepEqual(seen.batches.map(batch => batch.length), [100, 100, 50]);
  assert.equal(new Set(seen.batches.flat()).size, 250);
  assert.deepEqual(seen.told.at(-1), { unsent: 0, stop: null });
});

test("without network and after a 5xx the same ids go again, each wait twice as long, within the jitter", async () => {
  const { outbox, seen } = await setUp(3, ["no network", 503, 429, undefined]);
  for (let i = 0; i < 4; i++) await outbox.flush();
  assert.deepEqual(seen.waits, [1000, 2000, 4000]);
  assert.deepEqual(seen.batches, Array(4).fill(["e0", "e1", "e2"]));
  assert.equal(seen.told.at(-1).unsent, 0);
});

test("an event the answer does not name is sent again", async () => {
  const { outbox, seen } = await setUp(2, [{ status: 200, body: { results: [{ id: "e0", status: "already" }], added: [] } }, undefined]);
  await outbox.flush();
  assert.deepEqual(seen.batches, [["e0", "e1"], ["e1"]]);
});

test("a 4xx stops, keeps everything, and says what a person must do; a touch tries again", async () => {
  const { outbox, seen } = await setUp(2, [{ status: 401, body: { code: "sign_in", message: "…" } }, undefined]);
  await outbox.flush();
  assert.equal(seen.told.at(-1).unsent, 2);
  assert.equal(seen.told.at(-1).stop.code, "sign_in");
  assert.match(advice(seen.told.at(-1).stop), /sign in again/i);
  assert.deepEqual(seen.waits, []);
  await outbox.flush(); // one more event was stored: no knocking at a closed door
  assert.equal(seen.batches.length, 1);
  await outbox.flush(true);
  assert.deepEqual(seen.told.at(-1), { unsent: 0, stop: null });
});

test("a refused token is fetched anew once, then a person is asked", async () => {
  const csrf = { status: 403, body: { code: "csrf" } };
  const good = await setUp(1, [csrf, undefined]);
  await good.outbox.flush();
  assert.equal(good.seen.refreshed, 1);
  assert.equal(good.seen.told.at(-1).unsent, 0);
  const bad = await setUp(1, [csrf]);
  await bad.outbox.flush();
  assert.equal(bad.seen.refreshed, 1);
  assert.equal(bad.seen.told.at(-1).stop.code, "csrf");
});

test("a batch that is too large is halved", async () => {
  const { outbox, seen } = await setUp(100, [413, 413, undefined]);
  await outbox.flush();
  assert.deepEqual(seen.batches.map(batch => batch.length), [100, 50, 25, 25, 25, 25]);
});

test("events of another person stay where they are", async () => {
  const { outbox, seen } = await setUp(1, [undefined], { others: 2 });
  await outbox.flush();
  assert.deepEqual(seen.batches, [["e0"]]);
});
