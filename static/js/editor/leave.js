/** Asks before a page is left with something typed and not saved. */
import { unsaved } from "./unsaved.js";

let leaving = false;
document.addEventListener("submit", event => {
  if (!event.target.matches("form[data-quiet]")) leaving = true;
});
addEventListener("beforeunload", event => {
  if (!leaving && unsaved()) event.preventDefault();
});
