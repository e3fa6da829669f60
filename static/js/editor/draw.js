/** Keeps the draw beside a case in step with what is typed; the key "Try a draw" does the same without this script. */
const WAIT_MS = 500;
const form = document.querySelector("[data-try]");
const panel = document.getElementById("draw");
let waiting = 0;
let asked = 0;

async function renew() {
  const mine = ++asked;
  try {
    const answer = await fetch(form.dataset.try, { method: "POST", body: new FormData(form), redirect: "error" });
    if (!answer.ok) throw new Error(String(answer.status));
    const html = await answer.text();
    if (mine === asked) panel.innerHTML = html; // our own server's fragment, escaped there
  } catch {
    if (mine === asked) panel.textContent = "No draw now: the server cannot be reached. What you typed is still here.";
  }
}

function soon() {
  clearTimeout(waiting);
  waiting = setTimeout(renew, WAIT_MS);
}

form.addEventListener("input", soon);
form.addEventListener("change", soon);
form.addEventListener("submit", event => {
  if (event.submitter?.value !== "try") return;
  event.preventDefault();
  event.stopPropagation();
  const seed = document.getElementById("seed");
  seed.value = (Number(seed.value) || 0) + 1;
  renew();
});
