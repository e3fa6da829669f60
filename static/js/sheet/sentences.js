/** Reasons and what was met, from the decision's codes to sentences. Times and numbers come with them. */
import { DONE } from "../scoring/stated.js";
import { WORD, asSaid, mmss, some } from "./words.js";

const secs = ms => `${Math.round(ms / 1000)} s`;
const HOW = { yes: "", evaluator: "on your word", instructor: "by an instructor" };

/** {title, detail, evidence, number, critical, icon}: one reason in the witness's words. */
export function sentence(page, reason) {
  const check = reason.check && page.checks.find(one => one.id === reason.check);
  const step = page.step(reason.step ?? check?.step);
  const rule = step && page.rule.steps[step.id];
  const text = TITLES[reason.code];
  const told = text ? text(reason, page, step) : [reason.code.replace(/_/g, " ")];
  const settled = reason.settled ? `Settled ${HOW[reason.settled.by]}: ${reason.settled.reason}` : "";
  const word = reason.code === "stated_wrong" ? "stated wrong" : reason.mark ? WORD[reason.mark] : "";
  return {
    title: told[0],
    detail: [told[1], reason.decides && reason.critical && rule?.reason, settled].filter(Boolean).join(" "),
    evidence: [[reason.critical && "critical", word].filter(Boolean).join(", "), mmss(reason.at_ms)],
    number: step?.number, critical: Boolean(reason.critical), icon: ICONS[reason.code] ?? (reason.mark || "not_performed"),
  };
}

const ICONS = { breach_unnoticed: "breach", breach_uncorrected: "breach", breach_corrected: "breach", breach_unclear: "breach", safety_stop: "breach", stopped: "lapse", lab_stop: "lapse", time_over: "lapse", time_unclear: "lapse", order_unclear: "lapse", gap_unclear: "lapse", stated_unclear: "lapse", score_unclear: "lapse", prompts_exceeded: "prompt", step_open: "open" };
const breach = after => (r, page, step) => [`${r.breach_kind === "safety" ? "Safety" : "Asepsis"} broken, ${after}`, step ? `At step ${step.number}, ${step.text}.` : ""];
const named = after => (r, page, step) => [step.text, after];
const label = (page, r) => page.checks.find(check => check.id === r.check)?.label ?? r.check;
const pair = (r, page) => `${page.step(r.before).number} before ${page.step(r.after).number}`;
const scope = (r, page) => (r.scope === "section" ? `section ${page.sections.find(one => one.id === r.of)?.letter}` : r.scope === "step" ? `step ${page.step(r.of)?.number}` : "the whole");
const part = (r, page) => (r.section ? ` in section ${page.sections.find(one => one.id === r.section)?.letter}` : "");
const unit = r => (r.unit === "percent" ? " %" : " points");
const range = r => (r.low === r.high ? r.low : `${r.low} to ${r.high}`);

const TITLES = {
  critical_missed: named("A critical step must be done."), step_missed: named(), step_open: named("It was never marked."),
  not_observed: named("Counted as performed and as not performed."), step_late: named("Done after the time limit."), time_unclear: (r, page, step) => [step ? step.text : `Time limit of ${scope(r, page)}: not to be told`, "Whether it was in time is open."],
  step_too_short: (r, page, step) => [step.text, `Took ${secs(r.took_ms)}, at least ${secs(r.at_least_ms)} asked.`], step_too_long: (r, page, step) => [step.text, `Took ${secs(r.took_ms)}, at most ${secs(r.at_most_ms)} allowed.`],
  measured_out: (r, page, step) => [step.text, `Read ${r.value} ${r.unit}, expected ${r.expected} ${r.unit} give or take ${r.tolerance}.`], measured_unit: (r, page, step) => [step.text, `Read in ${r.unit}, asked in ${r.unit_expected}.`],
  step_value_wrong: named("The value stated with it is wrong."), step_value_unclear: named("The value stated with it has no verdict."),
  stated_wrong: (r, page) => {
    const check = page.checks.find(one => one.id === r.check);
    const key = page.key(check);
    if (!r.number) return [`${label(page, r)} not stated`, "It was asked for and not said."];
    const found = page.verdict(check, page.state.stated[r.check]);
    const slip = key?.slips.find(one => one.code === (found?.slip ?? found?.slips?.[0]?.code));
    return [`${label(page, r)} stated ${asSaid(r)}, expected ${key?.text ?? ""}`, slip ? `Likely slip: ${slip.text.toLowerCase()}.` : ""];
  },
  stated_unclear: (r, page) => [`${label(page, r)}: no verdict`, r.number ? `Said ${asSaid(r)}.` : "It was not said."], verdict_differs: (r, page) => [`${label(page, r)}: two verdicts differ`],
  order_broken: (r, page) => [`Order broken: ${pair(r, page)}`, DONE.includes(page.state.steps[r.before].mark) ? `Done at ${mmss(r.before_ms)} and ${mmss(r.after_ms)}.` : `Step ${page.step(r.before).number} was not seen done.`], order_unclear: (r, page) => [`Order not to be told: ${pair(r, page)}`],
  gap_short: (r, page) => [`Too little time between steps ${page.step(r.from).number} and ${page.step(r.to).number}`, `${secs(r.gap_ms)}, at least ${secs(r.at_least_ms)} asked.`], gap_long: (r, page) => [`Too much time between steps ${page.step(r.from).number} and ${page.step(r.to).number}`, `${secs(r.gap_ms)}, at most ${secs(r.at_most_ms)} allowed.`], gap_unclear: (r, page) => [`Time between steps ${page.step(r.from).number} and ${page.step(r.to).number}: not to be told`],
  time_over: (r, page) => [`Time limit of ${scope(r, page)} passed`, r.counted_ms == null ? "" : `${mmss(r.counted_ms)} used, ${mmss(r.limit_ms)} allowed.`],
  score_below: (r, page) => [`Score ${range(r)}${unit(r)}${part(r, page)}, below the cut`, `The cut is ${r.cut}${unit(r)}.`], score_unclear: (r, page) => [`Score ${range(r)}${unit(r)}${part(r, page)}: not to be told`, `The cut is ${r.cut}${unit(r)}.`], score_empty: (r, page) => [`No step counts for the score${part(r, page)}`],
  prompts_exceeded: r => [`${some(r.counted, r.of === "total" ? "prompt" : `${r.of} prompt`)} given, ${r.allowed} allowed`],
  breach_unnoticed: breach("not noticed"), breach_uncorrected: breach("noticed, not put right"), breach_corrected: breach("noticed and put right"), breach_unclear: breach("details open"),
  safety_stop: r => ["Stopped for safety", r.text ?? ""], lab_stop: r => ["Stopped by the lab: the attempt is void", r.text ?? ""], stopped: r => ["Ended early", r.text ?? ""],
  identity_missing: () => ["Identity not confirmed"], discrepancy_missed: r => [`Planted fault not caught: ${r.which}`], outcome_differs: () => ["The two sheets differ in outcome"], critical_differs: (r, page, step) => [`The two sheets differ at step ${step.number}`, step.text],
};

/** What the rule asked and was kept, in short lines; order pairs together. */
export function metLines(page, decision) {
  const lines = decision.met.filter(one => MET[one.code]).map(one => MET[one.code](one, page) + (one.settled ? `, ${HOW[one.settled.by]}` : ""));
  const pairs = decision.met.filter(one => one.code === "order_kept");
  if (!pairs.length) return lines;
  const all = pairs.length === (page.rule.pairs ?? []).length;
  return [...lines, all ? "order kept" : `order kept in ${pairs.length} of ${page.rule.pairs.length} pairs`];
}

const MET = {
  critical_met: r => (r.count === r.of ? `all ${r.of} critical steps seen done` : `${r.count} of ${r.of} critical steps seen done`), no_breach: () => "no breach", all_done: r => `all ${r.count} steps done`,
  stated_right: (r, page) => `${label(page, r)} ${r.number ? asSaid(r) : ""} right`, gap_kept: (r, page) => `time between ${page.step(r.from).number} and ${page.step(r.to).number} kept`,
  time_kept: (r, page) => `${r.scope === "whole" ? "time" : scope(r, page)}${r.counted_ms == null ? " in time" : ` ${mmss(r.counted_ms)} within ${mmss(r.limit_ms)}`}`, score_reached: (r, page) => `score ${range(r)}${unit(r)}${part(r, page)}, cut ${r.cut}`,
  prompts_kept: r => `${r.counted || "no"} ${r.of === "total" ? "" : `${r.of} `}prompt${r.counted > 1 ? "s" : ""}${r.counted ? ` of ${r.allowed} allowed` : ""}`, discrepancy_caught: r => `planted fault caught: ${r.which}`, identity_seen: () => "identity seen", step_settled: (r, page) => `step ${page.step(r.step).number} performed`,
};
