// The score, exact. Twin of checkoffs/scoring/score.py, which says why.
import { add, compare, cutDown, cutQuotient, decimal, plain, times } from "./decimal.js";
import { word } from "./settlements.js";

const ZERO = [0n, 0];
const HUNDRED = [100n, 0];
const text = (value) => (value ? plain(cutDown(value, 2)) : null);
const percentText = ({ possible }, earned) =>
  possible[0] === 0n ? null : plain(cutQuotient(times(earned, HUNDRED), possible, 2));

function tally(rule, steps, ids) {
  const counted = ids.filter((id) => steps[id].counts && !rule.steps[id].optional);
  const sum = (value) => counted.map(value).reduce(add, ZERO);
  const points = (id) => decimal(rule.steps[id].points);
  return {
    low: sum((id) => times(steps[id].low, points(id))),
    high: sum((id) => times(steps[id].high, points(id))),
    possible: sum(points),
  };
}

export function scoreFindings(rule, steps) {
  const { kind, cut, per_section } = rule.score;
  if (kind === "none") return [];
  if (kind === "all") {
    const missing = rule.order.some((id) => !rule.steps[id].optional && !steps[id].satisfied);
    const data = { code: "all_done", kind: "score", count: rule.order.length };
    return missing ? [] : [{ met: true, decides: true, data }];
  }
  const found = cut === undefined ? [] : [cutFinding(rule, tally(rule, steps, rule.order), cut, null)];
  for (const section of rule.sections)
    if (section.id in per_section)
      found.push(cutFinding(rule, tally(rule, steps, section.steps), per_section[section.id], section.id));
  return found;
}

/** See score_shown in checkoffs/scoring/score.py. */
export function scoreShown(rule, steps, outcome, attemptNo) {
  const whole = tally(rule, steps, rule.order);
  const { kind, cut, retake_cap } = rule.score;
  const counts = kind === "percent" || kind === "points";
  const shown = {
    earned: plain(whole.low),
    earned_best: plain(whole.high),
    possible: plain(whole.possible),
    percent: percentText(whole, whole.low),
    percent_best: percentText(whole, whole.high),
    cut: counts && cut !== undefined ? plain(decimal(cut)) : null,
    reported: null,
  };
  if (!counts || !["satisfactory", "unsatisfactory"].includes(outcome)) return shown;
  shown.reported = kind === "percent" ? shown.percent : text(whole.low);
  if (outcome === "satisfactory" && attemptNo > 1 && retake_cap !== undefined && shown.reported !== null) {
    const cap = decimal(retake_cap);
    const above =
      kind === "percent"
        ? compare(times(whole.low, HUNDRED), times(cap, whole.possible)) > 0
        : compare(whole.low, cap) > 0;
    if (above) shown.reported = text(cap);
  }
  return shown;
}

function cutFinding(rule, part, cut, section) {
  const percent = rule.score.kind === "percent";
  const empty = percent && part.possible[0] === 0n;
  const aim = percent ? times(decimal(cut), part.possible) : decimal(cut);
  const reaches = (earned) => compare(percent ? times(earned, HUNDRED) : earned, aim) >= 0;
  const met = empty ? null : reaches(part.low) ? true : reaches(part.high) ? null : false;
  const number = (earned) => (percent ? percentText(part, earned) : text(earned));
  const code = empty ? "score_empty" : word(met, "score_reached", "score_below", "score_unclear");
  return {
    met,
    decides: true,
    data: {
      code,
      kind: "score",
      section,
      unit: rule.score.kind,
      low: number(part.low),
      high: number(part.high),
      cut: plain(decimal(cut)),
    },
  };
}
