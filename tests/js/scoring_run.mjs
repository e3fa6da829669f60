// Reads cases as JSON from standard input and writes what the browser's fold makes of them, for comparison with Python.
// Each case: {rule, sheets, verdicts, accommodation, attempt_no} → {decision, states}; in place of a decision or a state
// there may be {error: {code, field, index}}.
import { readFileSync } from "node:fs";
import { decide } from "../../static/js/scoring/decide.js";
import { ScoringError } from "../../static/js/scoring/events.js";
import { fold } from "../../static/js/scoring/fold.js";

function run({ rule, sheets, verdicts, accommodation, attempt_no }) {
  const guarded = (work) => {
    try {
      return work();
    } catch (error) {
      if (!(error instanceof ScoringError)) throw error;
      return { error: { code: error.code, field: error.field, index: error.index } };
    }
  };
  return {
    decision: guarded(() => decide(rule, sheets, verdicts, accommodation, attempt_no)),
    states: sheets.map(({ events }) => guarded(() => fold(rule, events))),
  };
}

const cases = JSON.parse(readFileSync(0, "utf8"));
process.stdout.write(JSON.stringify(cases.map(run)));
