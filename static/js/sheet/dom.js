/** Makes elements without ever reading text as HTML. `h("button.go", {onclick}, "text", child)`. */
export function h(spec, props, ...kids) {
  const [tag, ...classes] = spec.split(".");
  const node = document.createElement(tag || "div");
  if (classes.length) node.className = classes.join(" ");
  if (tag === "button") node.type = "button";
  for (const [name, value] of Object.entries(props ?? {})) {
    if (name.startsWith("on")) node.addEventListener(name.slice(2), value);
    else if (value != null && value !== false) node.setAttribute(name, value === true ? "" : value);
  }
  node.append(...kids.flat(2).filter(kid => kid != null && kid !== false));
  return node;
}

const SVG = "http://www.w3.org/2000/svg";

/** An SVG element with attributes. */
export function s(tag, props, ...kids) {
  const node = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(props)) node.setAttribute(name, value);
  node.append(...kids);
  return node;
}

const address = code => `#m-${code.replace(/_/g, "-")}`;

/** Brings the sprite into the page: a mark that changes is then drawn at once, and needs no network. */
export async function bringMarks(from) {
  const read = new DOMParser().parseFromString(await (await fetch(from)).text(), "image/svg+xml");
  const sprite = s("svg", { class: "vh", "aria-hidden": "true" });
  sprite.append(...read.querySelectorAll("symbol")); // not its style element, which the page's policy forbids
  document.body.append(sprite);
}

/** A mark of the sprite; the word always stands beside it. */
export function icon(code, size = 24) {
  const use = s("use", { href: address(code) });
  return s("svg", { class: `m m-${code.replace(/_/g, "-")}`, width: size, height: size, "aria-hidden": "true" }, use);
}

/** Changes a mark in place; one that is the same is left alone, since drawing it anew costs time. */
export function remark(svg, code) {
  if (svg.code === code) return;
  svg.code = code;
  svg.setAttribute("class", `m m-${code.replace(/_/g, "-")}`);
  svg.firstChild.setAttribute("href", address(code));
}

/** Sets text only when it changed, so that nothing is announced or painted twice. */
export function put(node, text) {
  if (node.textContent !== text) node.textContent = text;
}

/** A keystone with the step's number in it: open, settled or failed. */
export function keystone(number, standing) {
  return h(`span.ks.${standing}`, null, icon(standing === "settled" ? "critical_line" : "critical", 40), h("em", null, number));
}

/** A key with a mark and a word, pressed or not. */
export function key(code, word, pressed, onclick) {
  return h("button", { "aria-pressed": String(pressed), onclick }, code && icon(code), h("span", null, word));
}

/** Draws a part anew without losing the keyboard's place in it. */
export function keepFocus(node, draw) {
  const stops = () => [...node.querySelectorAll("button, input, textarea, select, summary, [tabindex]")];
  const at = node ? stops().indexOf(document.activeElement) : -1;
  draw();
  if (at >= 0 && !node.contains(document.activeElement)) stops()[at]?.focus({ preventScroll: true });
}
