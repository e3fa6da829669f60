// The tablet's ribbon draws, stroke for stroke, what the server's does: both are held to the same drawings.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";

import { ribbon } from "../../static/js/ribbon.js";

const drawings = JSON.parse(readFileSync(new URL("../../fixtures/vectors/ribbon/drawings.json", import.meta.url)));

for (const drawing of drawings) {
  const options = Object.fromEntries(
    Object.entries(drawing.options).map(([key, value]) => [{ limit_ms: "limitMs", now_ms: "nowMs" }[key] ?? key, value]),
  );
  test(drawing.name, () => assert.equal(ribbon(drawing.state, drawing.rule, options), drawing.svg));
}

test("the needle moves on between events and never back", () => {
  const { state, rule } = drawings.find((drawing) => drawing.name.startsWith("running"));
  const at = (nowMs) => Number(/class="rb-now" d="M([\d.]+)/.exec(ribbon(state, rule, { width: 616, nowMs }))[1]);
  assert.equal(at(300000), 302);
  assert.equal(at(1000), at(null));
});
