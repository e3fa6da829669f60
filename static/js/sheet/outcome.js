/** Finish, second page: the outcome as a preview with every reason, shown to the student, then signed. */
import { h, icon, keepFocus, key, keystone } from "./dom.js";
import { screen } from "./screen.js";
import { metLines, sentence } from "./sentences.js";
import { signPart } from "./sign.js";
import { RATING, some } from "./words.js";

export const OUTCOME = { satisfactory: ["performed", "Satisfactory"], unsatisfactory: ["not_performed", "Unsatisfactory"], moderation: ["moderation", "Needs moderation"], void: ["not_applicable", "Void"] };
const SHOWN = [["no_statement", "shown, no statement"], ["statement", "shown, with a statement"], ["refused", "refuses to see it"]];

/** on: {back(), unsent(), done(answer)}. */
export function outcomeScreen(page, on) {
  const top = h("div");
  const choice = h("div.opts.three");
  const statement = h("textarea.cmt", { rows: 2, "aria-label": "Statement, in the student’s words", maxlength: 4000 });
  const words = h("label.stm", { hidden: true }, h("span.q", null, "in the student’s words"), statement);
  const closing = h("p.seal2");
  let how = null;
  const sign = signPart(page, () => ({ shown: how, statement: how === "statement" ? statement.value.trim() : "" }), on);
  const pick = () => {
    choice.replaceChildren(...SHOWN.map(([value, word]) => key("", word, value === how, () => {
      how = value;
      words.hidden = value !== "statement";
      keepFocus(choice, pick);
      if (value === "statement") statement.focus();
    })));
  };
  pick();
  const made = screen(page, {
    title: "Finish, 2 of 2: outcome", refresh: draw,
    main: [top, h("h3.h", null, "Shown to the student ", h("span.q", null, "attested by you; the student signs nothing here")), h("div.settle", null, choice, words),
      h("p.q", null, "Receipt is acknowledged later, by the student, from the student’s own sign-in."), ...sign.main, closing],
    foot: [h("button.btn.ghost", { onclick: on.back }, "Back to the list"), sign.why, sign.key],
  });
  draw();
  return made;

  function draw() {
    const decision = page.decision();
    const [mark, word] = OUTCOME[decision.outcome];
    const deciding = decision.reasons.filter(reason => reason.decides);
    const righted = decision.reasons.filter(reason => reason.code === "breach_corrected" && !reason.decides);
    const rest = decision.reasons.filter(reason => !reason.decides && !righted.includes(reason));
    const kept = metLines(page, decision);
    top.replaceChildren(
      h("div.outcome", null, icon(mark, 52), h("h2", { tabindex: -1 }, word), h("span.notyet", null, icon("sending", 22), h("span", null, h("b", null, "preview, not sealed"), h("span.q", null, "kept on this tablet")))),
      h("ol.reasons", null, deciding.map(decisive), deciding.length ? [] : kept.slice(0, 1).map(text => h("li", null, icon("critical_line", 40), h("div", null, h("span.tt", null, capital(text)))))),
      ...(rest.length ? [h("div.alsoh.cap", null, "Missed as well; these alone would not have decided"), h("ul.also", null, rest.map(also))] : []),
      h("div.met", null, kept.map(text => h("span", null, icon("performed", 18), text)),
        righted.length > 0 && h("span", null, icon("breach", 18), `${some(righted.length, "breach", "breaches")}, noticed and put right`)),
      h("p.jd", null, h("span.q", null, "Overall judgement, given before the outcome "), h("b", null, page.state.rating ? `${page.state.rating}, ${RATING[page.state.rating]}` : "none")));
    closing.replaceChildren(...(decision.outcome === "moderation"
      ? [h("b", null, "Moderation comes first: "), "an instructor who scored no sheet of this attempt decides with a reason. ", h("b", null, "Sealing follows, and needs the network.")]
      : [h("b", null, "Sealing follows, and needs the network. "), "No moderation is needed for this sheet."]));
    sign.refresh();
  }

  function decisive(reason) {
    const { title, detail, evidence, number, critical, icon: code } = sentence(page, reason);
    return h("li", null, critical && number ? keystone(number, reason.code === "not_observed" ? "open" : "failed") : h("span.ic", null, icon(code, 36)),
      h("div", null, h("span.tt", null, title), h("span.q", null, detail)), h("span.ev", null, evidence[0], evidence[1] && h("span", null, evidence[1])));
  }

  function also(reason) {
    const { title, detail, evidence, number, icon: code } = sentence(page, reason);
    return h("li", null, icon(code, 20), h("i", null, number ?? ""), h("span", null, title, detail ? h("span.q", null, ` ${detail}`) : ""), h("span.q", null, evidence.filter(Boolean).join(", ")));
  }
}

const capital = text => text[0].toUpperCase() + text.slice(1);
