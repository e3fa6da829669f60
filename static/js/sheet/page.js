/** What all parts of the page share: the bundle, the log, the folded state, and the few questions asked of them. */
import { fold } from "../scoring/fold.js";
import { isRight, verdictFor } from "../scoring/stated.js";
import { counted } from "./clock.js";
import { some } from "./words.js";

const CHANGES = ["marked", "retracted", "stated", "settled", "breach", "measured", "timed"];

export class Page {
  /** kept: {id, bundle, seen (the outcome), last reading}, as the store keeps it. */
  constructor({ kept, store, clock, log }) {
    Object.assign(this, { kept, store, clock, log, bundle: kept.bundle, rule: kept.bundle.rule, timing: new Map() });
    this.sections = this.bundle.procedure.sections;
    this.steps = this.sections.flatMap(section => section.steps);
    for (const step of this.steps) {
      const { timed = null, measured = null } = this.rule.steps[step.id];
      Object.assign(step, { timed, measured }); // as the rule has them, in milliseconds
    }
    this.byId = new Map(this.steps.map(step => [step.id, step]));
    this.checks = this.rule.stated ?? [];
    const whole = (this.rule.limits ?? []).filter(limit => limit.scope === "whole")
      .map(limit => limit.limit_ms * (limit.scalable ? Number(this.bundle.attempt.time_factor) : 1));
    this.limit = whole.length ? Math.min(...whole) : null;
    this.fold();
  }

  fold() {
    this.state = fold(this.rule, this.log.events);
    return this.state;
  }

  /** The outcome as far as the tablet can tell; the server's is the truth. `decide` comes with the finish. */
  decision() {
    const verdicts = {};
    for (const check of this.checks) {
      const said = this.state.stated[check.id];
      if (said?.event) verdicts[said.event] = this.verdict(check, said);
    }
    const { sheet, attempt } = this.bundle;
    return this.decide(this.rule, [{ id: sheet.id, kind: "primary", events: this.log.events }], verdicts, { time_factor: attempt.time_factor }, attempt.attempt_no);
  }

  step(id) {
    return this.byId.get(id);
  }

  event(id) {
    return id && this.log.events.find(event => event.id === id);
  }

  get ended() {
    return ["finished", "stopped"].includes(this.state.status);
  }

  counted(raw) {
    return counted(this.state, raw);
  }

  marksOf(step) {
    return step.marks ?? Object.keys(this.rule.marks ?? {});
  }

  /** The key of one check; it stays in memory, and only what was uncovered is ever shown. */
  key(check) {
    return this.bundle.key?.checks.find(key => key.id === check.id);
  }

  verdict(check, said) {
    if (said.verdict) return said.verdict;
    const key = this.key(check);
    const number = said.number.replace(/^\./, "0.").replace(/\.$/, ""); // said "point five"; the server reads it so too
    return key ? verdictFor(key, number, said.unit) : null;
  }

  right(check) {
    const said = this.state.stated[check.id];
    return said?.event ? isRight(check, this.verdict(check, said)) : null;
  }

  shown(check) {
    return this.state.stated[check.id]?.revealed_ms != null;
  }

  /** Covered until the step that closes self-correction is marked, or finish. */
  mayReveal(check) {
    return this.ended || Boolean(check.closes_with && this.state.steps[check.closes_with].mark);
  }

  until(check) {
    return check.closes_with ? `step ${this.step(check.closes_with).number} is marked, or finish` : "finish";
  }

  /** The stated value of a step while its expected value is still covered. */
  covered(stepId) {
    return this.checks.find(check => check.step === stepId && !this.shown(check)) ?? null;
  }

  /** A critical step at arm's length: [open | settled | failed, its word]. */
  standing(id) {
    const { mark } = this.state.steps[id];
    if (!mark) return ["open", "open"];
    if (this.covered(id)) return ["settled", "said"];
    if (mark === "not_observed") return ["open", "not seen"];
    const wrong = this.checks.some(check => check.step === id && this.right(check) === false);
    if (wrong) return ["failed", "wrong"];
    return this.rule.marks[mark].satisfies ? ["settled", "seen"] : ["failed", mark === "not_performed" ? "not done" : "missed"];
  }

  /** What always stands in small type under a step: what it must come before, the evaluator's cue. It never changes. */
  above(step) {
    const after = (this.rule.pairs ?? []).filter(pair => pair.before === step.id).map(pair => this.step(pair.after).number);
    const bounds = step.timed ?? {};
    const cue = [step.cue, bounds.at_least_ms && `at least ${bounds.at_least_ms / 1000} s`, bounds.at_most_ms && `at most ${bounds.at_most_ms / 1000} s`];
    return { before: after.length ? `must come before ${after.join(" and ")}` : "", cue: cue.filter(Boolean).join(" · ") };
  }

  /** What came to a step beside its mark. */
  under(step) {
    const seen = this.state.steps[step.id];
    const parts = [];
    if (seen.timed) parts.push(`took ${Math.round((seen.timed.stop_ms - seen.timed.start_ms) / 1000)} s`);
    if (seen.measured) parts.push(`read ${seen.measured.value} ${seen.measured.unit}`);
    for (const breach of this.state.breaches) {
      if (breach.step === step.id) parts.push(`breach${breach.corrected ? ", put right" : breach.noticed === false ? ", not noticed" : ""}`);
    }
    const notes = this.state.notes.filter(note => note.step === step.id).length;
    if (notes) parts.push(some(notes, "note"));
    return parts.join(", ");
  }

  /** The step in hand: the first open one after the last that was marked. */
  doing() {
    const last = Math.max(-1, ...this.steps.map((step, i) => [this.state.steps[step.id], i]).filter(([seen]) => seen.mark && !seen.caught_up)
      .sort(([a], [b]) => a.raw_ms - b.raw_ms).slice(-1).map(([, i]) => i));
    return this.steps.slice(last + 1).find(step => !this.state.steps[step.id].mark) ?? this.steps[last];
  }

  currentSection() {
    const step = this.doing();
    return this.sections.find(section => section.steps.includes(step));
  }

  /**
   * Writes an event. After the outcome was seen a change needs a reason, which is asked: then the answer is a promise
   * of the event, or of null when no reason was given.
   */
  act(kind, payload = {}, at) {
    if (!this.kept.seen || !CHANGES.includes(kind)) return this.log.append(kind, payload, at);
    if (payload.reason) return this.log.append(kind, { ...payload, after_outcome: true }, at);
    return this.askText("A change after the outcome was seen", "Why is it changed? The record shows the reason.", "Change it")
      .then(reason => reason && this.log.append(kind, { ...payload, reason, after_outcome: true }, at));
  }
}
