import assert from "node:assert/strict";
import { test } from "node:test";
import { Clock, bridge, counted } from "../../static/js/sheet/clock.js";

const WALL = Date.parse("2026-03-02T09:00:00.000Z");

test("the clock counts from where it is told to, by the steady clock only", () => {
  let steady = 1000;
  const clock = new Clock(() => steady);
  assert.equal(clock.now(), 0);
  clock.run(5000);
  steady += 1234.6;
  assert.equal(clock.now(), 6235);
});

test("a gap is bridged by the server's time when both ends know it, else by the wall clock", () => {
  const before = { raw: 60000, wall: WALL, server: WALL + 500 };
  const server = bridge(before, { wall: WALL + 3_600_000, server: WALL + 10_500 });
  assert.equal(server.how, "server");
  assert.equal(server.after_ms, 70000); // the wall clock was put an hour forward; ten seconds went by
  const wall = bridge({ ...before, server: null }, { wall: WALL + 10_000, server: WALL });
  assert.deepEqual([wall.how, wall.after_ms], ["wall", 70000]);
  assert.equal(wall.wall_before, "2026-03-02T09:00:00.000Z");
});

test("a gap is never negative, and keeps both readings for the fold to judge", () => {
  const back = bridge({ raw: 60000, wall: WALL, server: null }, { wall: WALL - 3_600_000, server: null });
  assert.equal(back.after_ms, back.before_ms);
  assert.ok(back.wall_after < back.wall_before);
});

test("counted time leaves out pauses with a reason, also one that is still open", () => {
  const pauses = [{ from_ms: 1000, to_ms: 3000, counts: false }, { from_ms: 4000, to_ms: 5000, counts: true }, { from_ms: 8000, to_ms: null, counts: false }];
  const state = { status: "paused", finished_ms: null, pauses };
  assert.equal(counted(state, 9000), 6000);
  assert.equal(counted({ ...state, status: "not_started" }, 9000), 0);
  assert.equal(counted({ ...state, finished_ms: 42 }, 9000), 42);
});
