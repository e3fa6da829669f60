/** The strip under a row: every other mark, a measure where the step has one, a note. It lies over the next row only. */
import { h, icon } from "./dom.js";
import { WORD } from "./words.js";

let open = null;

export function closeDrawer(focus) {
  if (!open) return;
  const { row, strip, away } = open;
  open = null;
  strip.remove();
  document.removeEventListener("pointerdown", away, true);
  row.node.classList.remove("pick");
  row.ear.setAttribute("aria-expanded", "false");
  if (focus) row.ear.focus({ preventScroll: true });
}

/** on: {mark(code), note(), measure() or null}. A second touch on the corner closes it. */
export function openDrawer(row, marks, current, on) {
  const again = open?.row === row;
  closeDrawer();
  if (again) return;
  const pick = (act, ...rest) => () => {
    closeDrawer(true);
    act(...rest);
  };
  const entry = (code, word, act, cls = "") => h(`button${cls}`, { onclick: act }, icon(code, 26), h("span", null, word));
  const strip = h("div.drawer", { role: "group", "aria-label": `other marks for step ${row.step.number}`, onkeydown: event => {
    if (event.key === "Escape") closeDrawer(true);
  } },
  marks.filter(code => code !== (current ?? "performed")).map(code => entry(code, WORD[code], pick(on.mark, code))),
  on.measure && entry("pad", "measure", pick(on.measure)), entry("note", "note", pick(on.note), ".nt"), entry("close", "close", () => closeDrawer(true), ".cl"));
  row.node.append(strip);
  row.node.classList.add("pick");
  row.ear.setAttribute("aria-expanded", "true");
  const list = row.node.closest(".list").getBoundingClientRect();
  strip.classList.toggle("up", strip.getBoundingClientRect().bottom > list.bottom);
  const away = event => row.node.contains(event.target) || closeDrawer();
  document.addEventListener("pointerdown", away, true);
  open = { row, strip, away };
  strip.firstChild.focus({ preventScroll: true });
}
