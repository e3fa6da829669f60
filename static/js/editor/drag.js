/** Drags a step by its number, with any pointer; the same as moving it with keys, only further at once. */
import { send } from "./swap.js";

const START_PX = 6;
let held = null;

function rows() {
  return [...document.querySelectorAll("#ed-list .ed-step, #ed-list .ed-none")];
}

/** The row under a height, and whether the upper half of it. */
function under(y) {
  for (const row of rows()) {
    const box = row.getBoundingClientRect();
    if (y >= box.top && y <= box.bottom) return { row, before: y < box.top + box.height / 2 };
  }
  return null;
}

function unmark() {
  for (const row of rows()) row.classList.remove("drop-before", "drop-after", "lifted");
}

function drop(target) {
  const section = target.row.closest(".ed-section");
  const others = [...section.querySelectorAll(".ed-step")].filter(row => row !== held.row);
  const at = others.indexOf(target.row);
  const to = at < 0 ? others.length : at + (target.before ? 0 : 1);
  const form = document.getElementById("list");
  const fields = { "drop-section": section.dataset.section, "drop-to": to };
  for (const [id, value] of Object.entries(fields)) {
    document.getElementById(id).disabled = false;
    document.getElementById(id).value = value;
  }
  const order = Object.assign(document.createElement("button"), { name: "do", value: `place:${held.row.dataset.step}` });
  order.hidden = true;
  form.append(order);
  send(form, order);
}

document.addEventListener("pointerdown", event => {
  const grip = event.target.closest("#ed-list .num-place");
  if (!grip || event.button) return;
  held = { row: grip.closest(".ed-step"), y: event.clientY, moving: false, id: event.pointerId };
});
document.addEventListener("pointermove", event => {
  if (!held || event.pointerId !== held.id) return;
  if (!held.moving && Math.abs(event.clientY - held.y) < START_PX) return;
  held.moving = true;
  event.preventDefault();
  unmark();
  held.row.classList.add("lifted");
  const target = under(event.clientY);
  if (target && target.row !== held.row) target.row.classList.add(target.before ? "drop-before" : "drop-after");
  if (event.clientY < 60) scrollBy(0, -12);
  else if (event.clientY > innerHeight - 60) scrollBy(0, 12);
});
function end(event) {
  if (!held || event.pointerId !== held.id) return;
  const target = held.moving && event.type === "pointerup" ? under(event.clientY) : null;
  unmark();
  if (target && target.row !== held.row) drop(target);
  held = null;
}
document.addEventListener("pointerup", end);
document.addEventListener("pointercancel", end);
document.addEventListener("selectstart", event => held && event.preventDefault());
document.querySelector(".editor").classList.add("can-drag");
document.addEventListener("editor:put", () => document.querySelector(".editor").classList.add("can-drag"));
