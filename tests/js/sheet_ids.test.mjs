import assert from "node:assert/strict";
import { test } from "node:test";
import { uuid7 } from "../../static/js/sheet/ids.js";

test("ids are UUIDs of version 7 and variant 10, with the time in front (RFC 9562, 5.7)", () => {
  // The timestamp of the RFC's own example in appendix A.6: 017F22E2-79B0 is 2022-02-22 19:22:22 UTC.
  const id = uuid7(Date.UTC(2022, 1, 22, 19, 22, 22));
  assert.match(id, /^017f22e2-79b0-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/);
});

test("later ids never carry an earlier time, even when the wall clock goes back", () => {
  const late = uuid7(Date.UTC(2040, 0, 1));
  const next = uuid7(Date.UTC(2030, 0, 1));
  assert.equal(next.slice(0, 13), late.slice(0, 13));
  assert.notEqual(next, late);
});
