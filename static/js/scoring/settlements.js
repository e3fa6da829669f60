// What people settled: the evaluator on the own sheet, an instructor at moderation, who wins.
// Twin of Settlements in checkoffs/scoring/finding.py.

/** {own, moderated}: the `settled` of the sheet and of the moderation sheets. */
export const settlements = (own, moderated) => ({ own, moderated });

/** The settled verdict about one thing, null when there is none. */
export function verdictOn(by, type, id) {
  const key = `${type}:${id}`;
  return (by.moderated[key] ?? by.own[key])?.verdict ?? null;
}

/** {settled: {verdict, reason, by, found}}: the overruling beside what the log says; {} when there is none. */
export function overruled(by, type, id, found) {
  const key = `${type}:${id}`;
  const settled = by.moderated[key] ?? by.own[key];
  if (!settled) return {};
  const { verdict, reason } = settled;
  return { settled: { verdict, reason, by: by.moderated[key] ? "instructor" : "evaluator", found } };
}

/** One of three words by true, false, null. */
export const word = (value, yes, no, unclear = null) => (value === null ? unclear : value ? yes : no);

/** false if any is false, else null if any is null, else true. */
export const all = (answers) => (answers.includes(false) ? false : answers.includes(null) ? null : true);
