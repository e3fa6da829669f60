/** Says short things to screen readers: only what the person did or must know, never the running clock. */
import { put } from "./dom.js";

export function say(text) {
  const node = document.getElementById("say");
  put(node, node.textContent === text ? `${text} ` : text);
}
