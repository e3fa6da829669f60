// The shared vectors, as the browser's fold gives them. tests/scoring/test_vectors.py runs the same files.
import assert from "node:assert/strict";
import { readdirSync, readFileSync } from "node:fs";
import { test } from "node:test";
import { decide } from "../../static/js/scoring/decide.js";
import { fold } from "../../static/js/scoring/fold.js";

const folder = new URL("../../fixtures/vectors/scoring/", import.meta.url);

/** Where `found` is not what is expected: objects by the expected keys, lists whole, everything else equal. */
function differences(expected, found, at = "") {
  const isObject = (value) => typeof value === "object" && value !== null;
  if (isObject(expected) && isObject(found) && Array.isArray(expected) === Array.isArray(found)) {
    if (Array.isArray(expected) && expected.length !== found.length)
      return [`${at}: expected ${expected.length} items, found ${JSON.stringify(found)}`];
    return Object.entries(expected).flatMap(([key, value]) => differences(value, found[key], `${at}.${key}`));
  }
  return expected === found ? [] : [`${at}: expected ${JSON.stringify(expected)}, found ${JSON.stringify(found)}`];
}

for (const name of readdirSync(folder).filter((file) => file.endsWith(".json"))) {
  const { cases = [] } = JSON.parse(readFileSync(new URL(name, folder), "utf8"));
  for (const { rule, sheets, verdicts, accommodation, attempt_no, expect, ...about } of cases) {
    test(`${name}: ${about.name}`, () => {
      const decided = () => decide(rule, sheets, verdicts, accommodation, attempt_no);
      if (expect.error) {
        assert.throws(decided, (error) => differences(expect.error, error).length === 0);
        return;
      }
      assert.deepEqual(differences(expect.decision ?? {}, decided()), [], about.why);
      for (const { id, events } of sheets)
        assert.deepEqual(differences(expect.sheets?.[id] ?? {}, fold(rule, events), id), [], about.why);
    });
  }
}
