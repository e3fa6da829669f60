/** Pages that lie over the list: a slim head with name, ribbon and clock, the matter, and a foot. */
import { h, keepFocus, put } from "./dom.js";
import { mmss } from "./words.js";

let open = null;

/** refresh(): called on every change while it is open. Gives the node. */
export function screen(page, { title, cls = "", main, foot, refresh }) {
  const clock = h("b");
  const word = h("span");
  const ribbon = h("div.rib");
  const node = h("section.fi", { "aria-label": title }, h("header.slim", null, h("div", null, h("h1", null, page.bundle.student.called), h("span.q", null, title)), ribbon, h("div.ck", null, clock, word)),
    h(`div.fi-main${cls && `.${cls}`}`, null, main), h("footer.foot", null, foot));
  return { node, ribbon, refresh: () => refresh && keepFocus(node, refresh), tick: () => {
    const used = page.counted(page.clock.now());
    put(clock, mmss(used));
    put(word, page.state.status === "running" ? "the clock runs on" : page.ended ? `${page.limit ? `of ${mmss(page.limit)}, ` : ""}stopped` : page.state.status.replace("_", " "));
  } };
}

/** Shows a screen in place of the list; null goes back to it. */
export function show(next) {
  const list = document.getElementById("sheet");
  const from = open ? null : document.activeElement;
  const opener = open?.opener ?? from;
  open?.node.remove();
  open = next;
  list.hidden = Boolean(next);
  if (next) {
    next.opener = opener;
    next.tick();
    list.after(next.node);
    scrollTo(0, 0);
    const first = next.node.querySelector("[tabindex='-1']") ?? next.node.querySelector("h1");
    first.tabIndex = -1;
    first.focus({ preventScroll: true });
  } else if (opener?.isConnected) opener.focus({ preventScroll: true });
}

export const shown = () => open;
