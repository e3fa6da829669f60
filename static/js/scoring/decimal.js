// Exact decimals: strings in, BigInt inside, strings out. Never a float. Twin of checkoffs/scoring/exact.py.
// A decimal is [n, places]: the value is n / 10^places.

const FORM = /^-?[0-9]{1,15}(\.[0-9]{1,12})?$/;
const ten = (places) => 10n ** BigInt(places);
const level = (a, b) => {
  const places = Math.max(a[1], b[1]);
  return [a[0] * ten(places - a[1]), b[0] * ten(places - b[1]), places];
};

export const isDecimal = (text) => typeof text === "string" && FORM.test(text);

/** The decimal in a plain string ("13.1"), null when it is not one. */
export function decimal(text) {
  if (!isDecimal(text)) return null;
  const [whole, part = ""] = text.split(".");
  return [BigInt(whole + part), part.length];
}

/** -1, 0 or 1. */
export function compare(a, b) {
  const [x, y] = level(a, b);
  return x < y ? -1 : x > y ? 1 : 0;
}

/** Compare two decimal strings; throws on anything else. */
export function compareText(a, b) {
  const [x, y] = [decimal(a), decimal(b)];
  if (!x || !y) throw new RangeError("not a decimal");
  return compare(x, y);
}

export function add(a, b) {
  const [x, y, places] = level(a, b);
  return [x + y, places];
}

export const minus = (a) => [-a[0], a[1]];
export const times = (a, b) => [a[0] * b[0], a[1] + b[1]];

/** a / b of two values that are not negative, the digits after `places` cut off, never rounded up. */
export function cutQuotient(a, b, places) {
  const [x, y] = level(a, b);
  return [(x * ten(places)) / y, places];
}

/** Digits after `places` cut off, of a value that is not negative. */
export const cutDown = (a, places) => cutQuotient(a, [1n, 0], places);

/** The shortest string of a decimal. */
export function plain([n, places]) {
  const digits = (n < 0n ? -n : n).toString().padStart(places + 1, "0");
  const whole = digits.slice(0, digits.length - places);
  const part = digits.slice(digits.length - places).replace(/0+$/, "");
  const text = part ? `${whole}.${part}` : whole;
  return n < 0n && text !== "0" ? `-${text}` : text;
}
