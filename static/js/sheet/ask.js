/**
 * One question over the page. `ask(title, build)`: `build(done)` gives the content and calls `done(answer)`.
 * Resolves to the answer, or to null when it was closed. `beside: true` leaves the page in use: eyes stay on the student.
 */
import { h, icon } from "./dom.js";

let current = null;

export function ask(title, build, { beside = false, later = "close" } = {}) {
  current?.close();
  return new Promise(answered => {
    let answer = null;
    const done = value => {
      answer = value;
      dialog.close();
    };
    const opener = document.activeElement;
    const dialog = h(beside ? "dialog.over.beside" : "dialog.over", { "aria-label": title, onclose: () => {
      dialog.remove();
      current = null;
      if (opener?.isConnected) opener.focus({ preventScroll: true });
      answered(answer);
    } },
    h("header", null, h("h2", null, title), h("button.x", { onclick: () => done(null) }, icon("close", 20), h("span", null, later))),
    build(done));
    dialog.addEventListener("keydown", event => event.key === "Escape" && done(null));
    document.body.append(dialog);
    current = dialog;
    if (!beside) return dialog.showModal();
    // Just above the actions, which stay in reach.
    dialog.style.bottom = `${document.querySelector(".acts").offsetHeight}px`;
    return dialog.show();
  });
}

/** A row of keys, one of which answers: [[code or "", words, answer], …]. */
export function keys(options, done, pressed) {
  return h("div.opts", null, options.map(([code, word, value]) => h("button", { onclick: () => done(value), "aria-pressed": pressed === undefined ? null : String(pressed === value) },
    code && icon(code), h("span", null, word))));
}

/** Asks for a line of text. */
export function askText(title, label, verb, { phrases = [], value = "", rows = 3 } = {}) {
  return ask(title, done => {
    const text = h("textarea", { rows, "aria-label": label, maxlength: 4000 });
    text.value = value;
    const add = phrase => h("button", { onclick: () => {
      text.value = [text.value.trim(), phrase].filter(Boolean).join(" ");
      text.focus();
    } }, `+ ${phrase}`);
    return h("form", { onsubmit: event => {
      event.preventDefault();
      if (text.value.trim()) done(text.value.trim());
    } }, h("p.q", null, label), text, phrases.length ? h("div.bank", null, phrases.map(add)) : null, h("div.end", null, submit(verb)));
  });
}

export function submit(verb) {
  const button = h("button.btn", null, verb);
  button.type = "submit";
  return button;
}
