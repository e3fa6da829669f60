// One sheet judged: every thing the rule asks. Twin of checkoffs/scoring/judge.py, which says why.
import { judgeLimits, limitFinding } from "./limits.js";
import { orderFindings } from "./order.js";
import { scoreFindings } from "./score.js";
import { overruled, verdictOn, word } from "./settlements.js";
import { isRight } from "./stated.js";
import { judgeSteps, stepFinding } from "./steps.js";

/** {findings: [{met, decides, data, settle?, forces?}], steps, outcome} */
export function judge(rule, state, clockState, verdicts, factor, by) {
  const stated = rule.stated.map((check) => statedFinding(check, state, verdicts, by));
  const answers = Object.fromEntries(rule.stated.map((check, i) => [check.id, stated[i].met]));
  const ownLimits = judgeLimits(rule, state, factor, by);
  const limits = state === clockState ? ownLimits : judgeLimits(rule, clockState, factor, by);
  const steps = judgeSteps(rule, state, ownLimits, answers, by);
  const findings = [
    ended(rule, clockState),
    ...breaches(rule, state, by),
    ...rule.order.map((id) => stepFinding(rule.steps[id], steps[id], rule, state, by)),
    criticalMet(rule, steps),
    ...stated,
    ...orderFindings(rule, state, steps, by),
    ...limits.map((limit) => limitFinding(limit, by)),
    ...scoreFindings(rule, steps),
    ...prompts(rule, state, by),
    ...state.discrepancies.map(discrepancy),
    identity(rule, clockState, by),
  ].filter(Boolean);
  return { findings, steps, outcome: outcomeOf(findings) };
}

function outcomeOf(findings) {
  if (findings.some(({ data }) => data.kind === "lab")) return "void";
  if (findings.some(({ forces }) => forces)) return "moderation";
  const deciding = findings.filter(({ decides }) => decides).map(({ met }) => met);
  return deciding.includes(false) ? "unsatisfactory" : deciding.includes(null) ? "moderation" : "satisfactory";
}

function ended(rule, { stop }) {
  if (!stop) return null;
  const { reason, text } = stop;
  const found = (decides, data) => ({ met: false, decides, data: { ...data, text } });
  if (reason === "lab") return found(true, { code: "lab_stop", kind: "lab" });
  if (reason === "safety")
    return found(rule.automatic_fail.includes("safety_stop"), { code: "safety_stop", kind: "safety" });
  return found(false, { code: "stopped", kind: "time", reason });
}

function breaches(rule, { breaches: seen }, by) {
  if (seen.length) return seen.map((breach) => breachFinding(rule, breach, by));
  const asked = rule.automatic_fail.some((code) => code.startsWith("breach"));
  return asked ? [{ met: true, decides: true, data: { code: "no_breach", kind: "safety" } }] : [];
}

function breachFinding(rule, { id, kind, step, at_ms, noticed, corrected }, by) {
  const unnoticed = rule.automatic_fail.includes("breach_unnoticed");
  const uncorrected = rule.automatic_fail.includes("breach_uncorrected");
  let [code, met] = ["breach_unclear", null];
  if (noticed === false) [code, met] = ["breach_unnoticed", false];
  else if (noticed !== null && corrected !== null)
    [code, met] = corrected ? ["breach_corrected", true] : ["breach_uncorrected", false];
  let decides = {
    breach_unnoticed: unnoticed || uncorrected,
    breach_uncorrected: uncorrected,
    breach_unclear: uncorrected || (unnoticed && noticed === null),
    breach_corrected: false,
  }[code];
  const words = word(met, "kept", "broken");
  const settled = verdictOn(by, "breach", id);
  if (settled) {
    met = settled === "kept";
    decides = !met && (unnoticed || uncorrected);
    code = met ? "breach_corrected" : code === "breach_unclear" ? "breach_unnoticed" : code;
  }
  return {
    // A corrected breach happened all the same: it is told among the reasons, without deciding.
    met: met ? false : met,
    decides: decides && met !== true,
    settle: met === null ? ["breach", id, "breach_unclear"] : null,
    data: {
      code, kind: "safety", breach: id, breach_kind: kind, step, at_ms, noticed, corrected,
      ...overruled(by, "breach", id, words),
    },
  };
}

function criticalMet(rule, steps) {
  const critical = rule.order.filter((id) => rule.steps[id].critical);
  const count = critical.filter((id) => steps[id].satisfied === true).length;
  const data = { code: "critical_met", kind: "critical", count, of: critical.length };
  return count ? { met: true, decides: true, data } : null;
}

function statedFinding(check, state, verdicts, by) {
  const said = state.stated[check.id];
  const event = said?.event ?? null;
  const given = (event && verdicts[event]) || null;
  const verdict = said?.verdict ?? given;
  const found = isRight(check, verdict);
  let differs = Boolean(said?.differs || (given && said.verdict && given.code !== said.verdict.code));
  let [answer, why] = [found, event ? "" : "not_stated"];
  if (event && found === null) why = verdict ? "unreadable" : "no_verdict";
  const own = by.own[`stated:${check.id}`];
  if (by.moderated[`stated:${check.id}`]) {
    answer = verdictOn(by, "stated", check.id) === "right";
    differs = false;
  } else if (own && found === null) answer = own.verdict === "right";
  // An evaluator alone does not overrule a verdict on a number.
  else if (own && (own.verdict === "right") !== found) [answer, why] = [null, "overruled"];
  const settleable = answer === null && !["", "overruled", "no_verdict"].includes(why);
  return {
    met: differs ? null : answer,
    decides: check.must_be_right && (check.critical || !check.step),
    forces: differs,
    settle: settleable ? ["stated", check.id, why] : null,
    data: {
      code: differs ? "verdict_differs" : word(answer, "stated_right", "stated_wrong", "stated_unclear"),
      kind: "stated",
      check: check.id,
      critical: check.critical,
      number: said?.number ?? null,
      unit: said?.unit ?? null,
      at_ms: said?.at_ms ?? null,
      verdict: verdict?.code ?? null,
      why,
      ...overruled(by, "stated", check.id, word(found, "right", "wrong")),
    },
  };
}

function prompts(rule, state, by) {
  const allowed = Object.entries(rule.prompts.by_kind);
  if (rule.prompts.total !== null) allowed.push(["total", rule.prompts.total]);
  return allowed.map(([of, number]) => {
    const counted = state.prompts.filter(({ kind }) => of === "total" || of === kind).length;
    const found = counted <= number;
    const settled = verdictOn(by, "prompts", of);
    const kept = settled ? settled === "kept" : found;
    const code = kept ? "prompts_kept" : "prompts_exceeded";
    const shown = overruled(by, "prompts", of, word(found, "kept", "broken"));
    return { met: kept, decides: true, data: { code, kind: "prompts", of, counted, allowed: number, ...shown } };
  });
}

function discrepancy({ which, caught, at_ms }) {
  const code = caught ? "discrepancy_caught" : "discrepancy_missed";
  return { met: caught, decides: false, data: { code, kind: "safety", which, at_ms } };
}

function identity(rule, state, by) {
  if (!rule.identity_required) return null;
  if (!state.identity && verdictOn(by, "identity", "identity") !== "kept")
    return {
      met: null,
      decides: true,
      forces: true,
      settle: ["identity", "identity", "identity_missing"],
      data: { code: "identity_missing", kind: "identity" },
    };
  const shown = overruled(by, "identity", "identity", null);
  const data = { code: "identity_seen", kind: "identity", how: state.identity?.how ?? null, ...shown };
  return { met: true, decides: true, data };
}
