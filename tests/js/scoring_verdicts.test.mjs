// Exact decimals, and verdicts on what was said; the calculators answer the same vectors in Python.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import { add, compareText, cutDown, cutQuotient, decimal, isDecimal, minus, plain, times } from "../../static/js/scoring/decimal.js";
import { verdictFor } from "../../static/js/scoring/stated.js";

const { keys, verdicts } = JSON.parse(
  readFileSync(new URL("../../fixtures/vectors/scoring/verdicts.json", import.meta.url), "utf8"),
);
for (const { why, key, number, unit, expect } of verdicts)
  test(`verdict: ${why}`, () => {
    const { code, number: alone } = verdictFor(keys[key], number, unit);
    assert.deepEqual({ code, number: alone }, expect);
  });

test("a wrong number names the slip it fits", () => {
  const key = { unit: "mL/h", accepted: [], slips: [{ code: "pounds_as_kilograms", low: "28.8", high: "28.9" }] };
  assert.deepEqual(verdictFor(key, "28.9", "mL/h"), { code: "wrong", number: "wrong", slip: "pounds_as_kilograms" });
});

test("decimals compare by value, not by text and not by float", () => {
  assert.equal(compareText("13.10", "13.1"), 0);
  assert.equal(compareText("9", "10"), -1);
  assert.equal(compareText("-2", "-10"), 1);
  assert.equal(compareText("999999999999999.000000000001", "999999999999999"), 1);
  assert.throws(() => compareText("13,1", "13"), RangeError);
});

test("what is no decimal is not read", () => {
  for (const text of ["", ".5", "5.", "1e3", "0x10", "Infinity", " 1", "1 ", "--1", "1_000", "٣", null, 13])
    assert.equal(isDecimal(text), false, String(text));
});

test("sums and products are exact and print shortest", () => {
  assert.equal(plain(add(decimal("0.1"), decimal("0.2"))), "0.3");
  assert.equal(plain(times(decimal("1.10"), decimal("0.5"))), "0.55");
  assert.equal(plain(minus(decimal("0.50"))), "-0.5");
  assert.equal(plain(minus(decimal("0"))), "0");
  assert.equal(plain(cutQuotient(decimal("200"), decimal("3"), 2)), "66.66");
  assert.equal(plain(cutDown(decimal("79.996"), 2)), "79.99");
});
