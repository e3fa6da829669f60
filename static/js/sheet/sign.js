/** Signing the sheet: the evaluator's password again, and the server's answer in words. Needs the network. */
import { h, icon, put } from "./dom.js";
import { post } from "./net.js";
import { say } from "./say.js";

const REFUSED = {
  wrong_password: "That is not your password.", too_many: "Too many tries. Wait a minute, then try again.", sign_in: "Your sign-in has run out. Sign in again in another tab; nothing is lost.",
  behind: "The server has not got everything yet. It is being sent; sign again in a moment.", settle: "The server still finds something to settle: go back one page.",
};

/** choice(): {shown, statement}. on: {unsent(), done(answer)}. */
export function signPart(page, choice, on) {
  const password = h("input", { type: "password", autocomplete: "current-password", required: true });
  const why = h("span.q.why", { role: "status" });
  const key = h("button.btn", { onclick: sign }, icon("note", 24), "Sign the sheet");
  const said = h("p.c-verm", { role: "alert" });
  password.addEventListener("keydown", event => event.key === "Enter" && sign());
  const refresh = () => put(why, on.unsent() ? `${on.unsent()} still to reach the server` : "Signing needs the network");
  let busy = false;

  async function sign() {
    const { shown, statement } = choice();
    const missing = !shown ? "Say first whether the student was shown it." : shown === "statement" && !statement ? "Write the student’s statement." : !password.value ? "Your password is needed again." : "";
    put(said, missing);
    if (missing || busy) return;
    busy = true;
    put(said, "");
    try {
      await on.send();
      const { status, body } = await post(page.bundle.addresses.sign, { password: password.value, shown, statement, version: page.version });
      password.value = "";
      if (status === 200) return on.done(body);
      if (body.code === "behind") on.send();
      put(said, REFUSED[status === 429 ? "too_many" : body.code] ?? body.message ?? "The server refused the signature.");
    } catch {
      put(said, "No network. Everything is kept on this tablet; sign when the network is back.");
    } finally {
      busy = false;
      say(said.textContent);
    }
    return null;
  }

  return { key, why, refresh, main: [h("h3.h", null, "Sign the sheet ", h("span.q", null, "for what was seen")),
    h("div.signs", null, h("div.line", null, h("span.w", null, page.bundle.evaluator.signature), h("span.q", null, "evaluator")), h("label.pw", null, h("span.cap", null, "Your password, again"), password)), said] };
}
