// A rule document with everything that may be left out filled in. The server has checked the document before it got
// here (checkoffs/scoring/rule.py, which also says what each field means).

const scale = (credit, satisfies) => ({ credit, satisfies });
const DEFAULT_SCALE = {
  performed: scale("1", true),
  self_corrected: scale("1", true),
  prompted: scale("1", false),
  said: scale("0", false),
  not_performed: scale("0", false),
  not_observed: scale("0", false),
  not_applicable: scale("0", true),
};

/** The rule with its defaults; `order` is the list of step ids. */
export function readRule(document) {
  const { score, prompts, marks } = document;
  const order = document.sections.flatMap((section) => section.steps);
  const full = (list, defaults) => (list ?? []).map((item) => ({ ...defaults, ...dropNull(item) }));
  return {
    ...document,
    order,
    steps: Object.fromEntries(
      order.map((id) => [id, { id, critical: false, points: "1", optional: false, ...dropNull(document.steps[id]) }]),
    ),
    marks: marks && Object.keys(marks).length ? marks : DEFAULT_SCALE,
    critical_all: document.critical_all ?? true,
    automatic_fail: document.automatic_fail ?? [],
    score: { kind: "none", per_section: {}, ...dropNull(score ?? {}) },
    limits: full(document.limits, { scalable: false }),
    pairs: full(document.pairs, { critical: false }),
    gaps: full(document.gaps, { critical: false }),
    stated: full(document.stated, { critical: false, must_be_right: true, grades_rounding: false, no_unit: "wrong" }),
    prompts: { total: prompts?.total ?? null, by_kind: prompts?.by_kind ?? {} },
    identity_required: document.identity_required ?? false,
  };
}

function dropNull(item) {
  return Object.fromEntries(Object.entries(item).filter(([, value]) => value !== null));
}
