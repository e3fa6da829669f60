// The outcome of an attempt from all its sheets. Twin of checkoffs/scoring/decide.py, which says what comes out and why.
import { now } from "./clock.js";
import { decimal } from "./decimal.js";
import { parseLog, ScoringError } from "./events.js";
import { FOLD_VERSION, foldLog } from "./fold.js";
import { judge } from "./judge.js";
import { scaled } from "./limits.js";
import { readRule } from "./rule.js";
import { scoreShown } from "./score.js";
import { settlements } from "./settlements.js";

const SUBJECT = ["code", "step", "check", "pair", "gap", "limit", "section", "of", "breach_kind", "which"];
const MODERATION_EVENTS = ["settled", "noted", "retracted"];

/**
 * Decide an attempt. sheets: [{id, kind: "primary|second|moderation", events}]; verdicts: {statement event id: {code}};
 * accommodation: {time_factor: "1.5"}. Throws ScoringError.
 */
export function decide(document, sheets, verdicts = {}, accommodation = {}, attemptNo = 1) {
  const rule = readRule(document);
  const read = sheets.map((sheet) => readSheet(rule, sheet));
  const factor = accommodation.time_factor ?? "1";
  const value = decimal(factor);
  if (!value || value[0] < 10n ** BigInt(value[1])) throw new ScoringError("not_a_factor", "accommodation.time_factor");
  if (!read.length) return noShow(rule, factor);
  const primaries = read.filter(({ kind }) => kind === "primary");
  if (primaries.length !== 1) throw new ScoringError("not_one_primary", "sheets");
  const moderated = Object.assign({}, ...read.filter(({ kind }) => kind === "moderation").map(({ state }) => state.settled));
  const scored = [...primaries, ...read.filter(({ kind }) => kind === "second")];
  const judged = scored.map(({ state }) =>
    judge(rule, state, primaries[0].state, verdicts, factor, settlements(state.settled, moderated)),
  );
  return together(rule, scored, judged, factor, attemptNo);
}

function together(rule, scored, judged, factor, attemptNo) {
  const first = judged[0];
  const differs = scored.length > 1 ? differences(rule, scored, judged) : [];
  const lab = scored.some(({ state }) => state.stop?.reason === "lab");
  const outcome = lab ? "void" : differs.length ? "moderation" : first.outcome;
  const reasons = reasonsOf(first.findings, outcome);
  scored.slice(1).forEach(({ id }, i) => {
    const known = reasons.map(core);
    for (const reason of reasonsOf(judged[i + 1].findings, outcome))
      if (!known.includes(core(reason))) reasons.push({ ...reason, sheet: id });
  });
  return {
    fold: FOLD_VERSION,
    outcome,
    reasons: [...reasons, ...differs.map((data) => ({ ...data, decides: true }))],
    met: first.findings.filter(({ met }) => met === true).map(({ data }) => data),
    settle: first.findings
      .filter(({ settle }) => settle)
      .map(({ settle: [type, id, why] }) => ({ type, id, why })),
    score: scoreShown(rule, first.steps, outcome, attemptNo),
    time: { counted_ms: now(scored[0].state.clock), limit_ms: wholeLimit(rule, factor) },
    sheets:
      scored.length > 1
        ? scored.map(({ id, kind }, i) => ({
            id,
            kind,
            outcome: judged[i].outcome,
            reasons: reasonsOf(judged[i].findings, judged[i].outcome),
            score: scoreShown(rule, judged[i].steps, judged[i].outcome, attemptNo),
          }))
        : [],
  };
}

function reasonsOf(findings, outcome) {
  const decides = ({ met, decides, forces, data }) => {
    if (outcome === "void") return data.kind === "lab";
    return outcome === "moderation" ? met === null && Boolean(decides || forces) : met === false && decides;
  };
  return findings
    .filter(({ met }) => met !== true)
    .map((finding) => ({ ...finding.data, decides: decides(finding) }));
}

/** What a reason is about: the same thing found by two people a second apart is one reason. */
const core = (reason) => JSON.stringify(SUBJECT.map((name) => reason[name]));

function differences(rule, scored, judged) {
  const found = [];
  const bySheet = (value) => Object.fromEntries(scored.map(({ id }, i) => [id, value(i)]));
  const kind = "disagreement";
  if (new Set(judged.map(({ outcome }) => outcome)).size > 1)
    found.push({ code: "outcome_differs", kind, outcomes: bySheet((i) => judged[i].outcome) });
  for (const id of rule.order)
    if (rule.steps[id].critical && new Set(judged.map(({ steps }) => steps[id].satisfied)).size > 1)
      found.push({ code: "critical_differs", kind, step: id, marks: bySheet((i) => scored[i].state.steps[id].mark) });
  return found;
}

function noShow(rule, factor) {
  return {
    fold: FOLD_VERSION,
    outcome: "unsatisfactory",
    reasons: [{ code: "no_show", kind: "no_show", decides: true }],
    met: [],
    settle: [],
    score: null,
    time: { counted_ms: null, limit_ms: wholeLimit(rule, factor) },
    sheets: [],
  };
}

function wholeLimit(rule, factor) {
  const whole = rule.limits.filter(({ scope }) => scope === "whole").map((limit) => scaled(limit, factor));
  return whole.length ? Math.min(...whole) : null;
}

function readSheet(rule, { id, kind, events }) {
  if (!["primary", "second", "moderation"].includes(kind)) throw new ScoringError("unknown_value", "sheets.kind");
  const log = parseLog(rule, events);
  for (const event of log) {
    if (event.sheet !== id) throw new ScoringError("other_sheet", "sheet");
    if (kind === "moderation" && !MODERATION_EVENTS.includes(event.kind))
      throw new ScoringError("not_on_moderation_sheet", "kind");
  }
  return { id, kind, state: foldLog(rule, log) };
}
