/** Draws the ribbon into its place, in the size the place has. */
import { ribbon } from "../ribbon.js";

export function drawRibbon(page, place) {
  const width = Math.floor(place.clientWidth - parseFloat(getComputedStyle(place).paddingLeft) * 2);
  if (width < 60) return;
  const { state } = page;
  // A verdict that only the tablet knows yet; covered ones stay neutral.
  const stated = Object.fromEntries(page.checks.filter(check => state.stated[check.id]).map(check => {
    const said = state.stated[check.id];
    return [check.id, page.shown(check) && said.event ? { ...said, verdict: page.verdict(check, said) } : said];
  }));
  // The ribbon gives escaped SVG text, made of numbers and our own words only.
  place.innerHTML = ribbon({ ...state, stated }, page.rule, { width, size: width < 560 ? "compact" : "full", limitMs: page.limit, nowMs: page.counted(page.clock.now()) });
}
