/** After the signature: what follows, and the way on. */
import { h, icon } from "./dom.js";
import { screen } from "./screen.js";

const WORDS = {
  sealed: ["performed", "Signed and sealed", "The record is made. The student sees it under the student’s own sign-in."],
  moderation: ["moderation", "Signed; moderation comes first", "An instructor who scored no sheet of this attempt decides. The seal follows."],
  waiting: ["lapse", "Signed; another sheet is still open", "The seal follows when the other evaluator has signed."],
  signed: ["performed", "This sheet is signed", "Nothing can be marked on it any more."],
};

export function signedScreen(page, { state, record, who }) {
  const [code, word, text] = WORDS[state] ?? WORDS.signed;
  return screen(page, {
    title: "Signed",
    main: [h("div.outcome", null, icon(code, 52), h("h2", { tabindex: -1 }, word)), h("p.big-p", null, text), who && h("p.q", null, `Decides: ${who}`)],
    foot: [h("span"), record && h("a.btn.ghost", { href: record }, "Open the record"), h("a.btn", { href: page.bundle.addresses.done }, "Next student")].filter(Boolean),
  });
}
