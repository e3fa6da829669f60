/** What is seen at arm's length: whose attempt, the time, what is critical and still open, whether all is kept. */
import { counted } from "./clock.js";
import { h, icon, put, remark } from "./dom.js";
import { mmss } from "./words.js";

export class Head {
  /** on: {clock(), goTo(step id)}. */
  constructor(page, on) {
    const { student, procedure, attempt, evaluator } = page.bundle;
    this.page = page;
    this.who = h("div.sc-who", null, h("h1", null, student.called), h("p.proc", null, procedure.title),
      h("p.q.stn", null, [attempt.place, `attempt ${attempt.number}`, `list version ${procedure.version}`, h("span.ev", null, ` · evaluator ${evaluator.called}`)].filter(Boolean).flatMap((part, i) => i && typeof part === "string" ? [" · ", part] : [part])));
    this.digits = h("b");
    this.left = h("span.left");
    this.act = h("span.act");
    this.clock = h("button.clock", { onclick: on.clock }, this.digits, this.left, this.act);
    this.stones = page.steps.filter(step => step.critical).map(step => {
      const mark = icon("critical", 40);
      const word = h("small");
      return { step, mark, word, node: h("button.ks", { onclick: () => on.goTo(step.id) }, mark, h("em", null, step.number), word) };
    });
    this.open = h("b");
    this.all = h("button.archall", { onclick: () => on.goTo((this.firstOpen ?? this.stones[0].step).id) });
    this.arch = h(this.stones.length > 9 ? "div.arch.many" : "div.arch", { role: "group", "aria-label": "critical steps", hidden: !this.stones.length }, h("span.lab", null, this.open, h("span.lg", null, "critical open"), h("span.sm", null, "open")), this.stones.map(stone => stone.node), this.all);
    this.keptMark = icon("kept", 26);
    this.keptWord = h("b");
    this.keptMore = h("span.q");
    this.kept = h("div.kept", null, this.keptMark, h("div", null, this.keptWord, this.keptMore));
  }

  show(state) {
    const standings = this.stones.map(stone => ({ stone, standing: this.page.standing(stone.step.id) }));
    this.firstOpen = standings.find(({ standing }) => standing[0] === "open")?.stone.step;
    for (const { stone, standing: [cls, word] } of standings) {
      if (stone.said === cls + word) continue;
      stone.said = cls + word;
      stone.node.className = `ks ${cls}`;
      remark(stone.mark, cls === "settled" ? "critical_line" : "critical");
      put(stone.word, word);
      stone.node.setAttribute("aria-label", `critical step ${stone.step.number}: ${word}`);
    }
    const open = standings.filter(({ standing }) => standing[0] === "open").length;
    put(this.open, `${open} of ${this.stones.length}`);
    this.all.setAttribute("aria-label", `critical steps: ${open} of ${this.stones.length} open; go to the first open one`);
    put(this.act, { not_started: "not started", running: "pause, stop", paused: "resume" }[state.status] ?? state.status);
    this.tick(state);
  }

  tick(state) {
    const used = counted(state, this.page.clock.now());
    const limit = this.page.limit;
    const over = limit != null && used > limit;
    put(this.digits, mmss(used));
    this.clock.classList.toggle("late", over);
    this.clock.classList.toggle("paused", state.status === "paused");
    const pause = state.status === "paused" && state.pauses.at(-1);
    const text = pause ? `paused: ${pause.reason || "the time counts"}`
      : limit == null ? "no time limit" : over ? `limit ${mmss(limit)} reached, ${mmss(used - limit)} over` : `${mmss(limit - used)} left of ${mmss(limit)}`;
    if (text === this.said) return over;
    this.said = text;
    const [strong, rest] = text.split(/(?= of )/);
    this.left.replaceChildren(strong, rest ? h("i", null, rest) : "");
    this.clock.setAttribute("aria-label", `time used ${mmss(used)}, ${text}; ${this.act.textContent}`);
    return over;
  }

  /** total events, waiting for the disk, failed to reach it, not yet on the server. */
  showKept({ total, waiting, failed, unsent, volatile }) {
    const lost = failed > 0 || volatile;
    remark(this.keptMark, lost ? "breach" : unsent || waiting ? "kept" : "kept");
    const words = lost ? ["NOT kept on this tablet", `${volatile ? total : failed} only on this page: do not close it`]
      : waiting ? ["Keeping…", `${waiting} of ${total} on the way to the disk`] : ["All kept on this tablet", unsent ? `${unsent} of ${total} still to reach the server` : `all ${total} have reached the server`];
    const short = lost ? ["NOT kept", "keep page open"] : waiting ? ["keeping", `${waiting}`] : ["kept", unsent ? `${unsent} to send` : "all sent"];
    this.kept.classList.toggle("lost", lost);
    this.keptWord.replaceChildren(h("span.lg", null, words[0]), h("span.sm", null, short[0]));
    this.keptMore.replaceChildren(h("span.lg", null, words[1]), h("span.sm", null, short[1]));
  }
}
