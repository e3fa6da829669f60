/**
 * Renews the day's board every five seconds while it is looked at. Nothing moves when nothing changed; what had the
 * focus keeps it; somebody about to touch a key is not disturbed.
 */
const EVERY_MS = 5000;
const board = document.getElementById("board");
const said = document.getElementById("board-said");
let shown = "";
let failures = 0;

/** Where the focus is, in words that outlive the markup: the address its key or link leads to. */
function focused() {
  const here = document.activeElement;
  if (!board.contains(here)) return null;
  return here.getAttribute("formaction") || here.getAttribute("href");
}

function put(html) {
  const address = focused();
  board.innerHTML = html; // our own server's fragment, escaped there
  if (!address) return;
  const again = [...board.querySelectorAll("[formaction],[href]")].find(
    node => (node.getAttribute("formaction") || node.getAttribute("href")) === address,
  );
  again?.focus({ preventScroll: true });
}

/** The fragment without its clock, so that a board on which nothing happened stays untouched. */
const AS_OF = /as of \d\d:\d\d:\d\d/;
const content = html => html.replace(AS_OF, "");

async function renew() {
  if (document.hidden || board.querySelector(":active")) return;
  try {
    const answer = await fetch(board.dataset.address, { headers: { Accept: "text/html" }, redirect: "error" });
    if (!answer.ok) throw new Error(String(answer.status));
    const html = await answer.text();
    if (content(html) !== content(shown)) put(html);
    else board.querySelector("[data-as-of]").textContent = AS_OF.exec(html)[0];
    shown = html;
    if (failures >= 3) said.textContent = "The board is up to date again.";
    failures = 0;
  } catch {
    failures++;
    if (failures === 3) said.textContent = "The board cannot be renewed now; it shows how things stood before.";
    said.classList.toggle("vh", failures < 3);
  }
}

setInterval(renew, EVERY_MS);
document.addEventListener("visibilitychange", renew);
