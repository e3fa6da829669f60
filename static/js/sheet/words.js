/** Words and times, as the page says them. */
export const WORD = {
  performed: "performed", self_corrected: "self-corrected", prompted: "after a prompt", said: "said, not done",
  not_performed: "not performed", not_observed: "not observed", not_applicable: "not applicable",
};
export const RATING = ["", "unsafe", "needs help", "steady", "sure", "could teach it"];
export const VERDICT = {
  right: "right", right_other_rounding: "right, rounded otherwise", wrong: "wrong", wrong_unit: "wrong unit",
  missing_unit: "no unit said", unreadable: "cannot be read",
};
export const RIGHT = ["right", "right_other_rounding"];

/** 702000 → "11:42"; nothing for no time. */
export function mmss(ms) {
  if (ms == null) return "";
  const seconds = Math.floor(ms / 1000);
  return `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`;
}

export const some = (count, one, many = `${one}s`) => `${count} ${count === 1 ? one : many}`;

/** What was said, with the unit that was said. */
export const asSaid = said => `${said.number} ${said.unit ?? "without a unit"}`;
