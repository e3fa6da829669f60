/**
 * Sends the editor's forms without leaving the page, and puts in the parts of the answer that changed. Without this
 * script the same forms and links load whole pages. What was typed and not yet saved stays in its fields.
 */
import { unsaved } from "./unsaved.js";

const PARTS = ["refusals", "ed-list", "checks", "saved-line"];
let busy = false;

function mark() {
  const here = document.activeElement;
  return here && here.id ? here.id : null;
}

/** Put the answer's parts in; `panel`: the right-hand side too. Returns false when the answer is no editor. */
function put(html, panel) {
  const next = new DOMParser().parseFromString(html, "text/html");
  if (!next.getElementById("ed-list")) return false;
  const focus = mark();
  const revision = next.querySelector("#list [name=revision]").value; // before its form moves over
  for (const id of panel ? [...PARTS, "panel"] : PARTS) {
    const now = document.getElementById(id);
    const then = next.getElementById(id);
    if (now && then) now.replaceWith(document.adoptNode(then));
  }
  for (const field of document.querySelectorAll("[name=revision]")) field.value = revision;
  document.querySelector(".editor").className = next.querySelector(".editor").className;
  document.title = next.title;
  const said = document.querySelector("main [role=status]");
  if (said) said.replaceChildren(...next.querySelector("main [role=status]").childNodes);
  if (focus) document.getElementById(focus)?.focus({ preventScroll: true });
  document.dispatchEvent(new CustomEvent("editor:put"));
  return true;
}

/** Move on to the step that the answer shows, as a page load would. */
function arrive(focusFirst) {
  const panel = document.getElementById("panel");
  if (innerWidth < 900) panel.scrollIntoView({ block: "start" });
  (focusFirst && panel.querySelector("[data-first]") ? panel.querySelector("[data-first]") : panel).focus({
    preventScroll: true,
  });
}

function unreachable() {
  const box = document.getElementById("refusals");
  const note = document.createElement("div");
  note.className = "notice failed";
  note.setAttribute("role", "alert");
  note.textContent = "The server cannot be reached. Nothing was saved; what you typed is still here. Try again.";
  box.replaceChildren(note);
  box.scrollIntoView({ block: "nearest" });
}

/** Send a form as its key would; the answer's parts take their places. */
export async function send(form, submitter) {
  if (busy) return;
  busy = true;
  try {
    const got = await post(form, submitter);
    if (got) took(got.answer, got.html, Boolean(form.closest("#panel")));
    else unreachable();
  } finally {
    busy = false;
  }
}

async function post(form, submitter) {
  const body = new FormData(form, submitter);
  try {
    const answer = await fetch(form.action, { method: "POST", body, headers: { Accept: "text/html" } });
    return { answer, html: await answer.text() };
  } catch {
    return null; // no network
  }
}

function took(answer, html, fromPanel) {
  const before = location.search;
  // an unsaved step stays in its fields while the list beside it changes
  const panel = fromPanel || !unsaved();
  if (!put(html, panel)) return location.assign(answer.url);
  if (answer.redirected && panel) history.replaceState(null, "", answer.url);
  if (!answer.ok) document.getElementById("refusals").scrollIntoView({ block: "nearest" });
  else if (fromPanel && location.search !== before) arrive(true);
}

async function show(link) {
  const answer = await fetch(link.href, { headers: { Accept: "text/html" } });
  if (!answer.ok || !put(await answer.text(), true)) return location.assign(link.href);
  history.pushState(null, "", answer.url);
  arrive(false);
}

document.addEventListener("submit", event => {
  const form = event.target;
  if (!form.matches("form[data-quiet]")) return;
  event.preventDefault();
  send(form, event.submitter);
});

document.addEventListener("click", event => {
  const link = event.target.closest("#ed-list a[href]");
  if (!link || event.ctrlKey || event.metaKey || event.shiftKey || event.button) return;
  event.preventDefault();
  if (unsaved() && !confirm("This step has changes that are not saved. Leave them?")) return;
  show(link).catch(() => location.assign(link.href));
});
addEventListener("popstate", () => location.reload());
