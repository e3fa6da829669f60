"""Pass rules really used by programs and examining bodies, each written as a rule document and tried.

Source of the rules: the project's job analysis of public handbooks and forms (nursing and physical-therapy programs,
a state nurse-aide examination, an army task guide, a published consensus on tracheostomy care). Steps are invented.
"""

from __future__ import annotations

from typing import Any

from checkoffs.scoring.decide import decide
from tests.scoring.test_fold import event

Marks = dict[str, str]


def rule(**more: Any) -> dict[str, Any]:
    """Ten steps: five safety steps (the first two critical), five technical ones."""
    ids = [f"s{n}" for n in range(1, 6)] + [f"t{n}" for n in range(1, 6)]
    return {
        "sections": [{"id": "safety", "steps": ids[:5]}, {"id": "technique", "steps": ids[5:]}],
        "steps": {
            key: {
                "section": "safety" if key[0] == "s" else "technique",
                "number": number,
                "critical": key in ("s1", "s2"),
                "reason": "It protects the patient.",
            }
            for number, key in enumerate(ids, 1)
        },
    } | more


def attempt(
    document: dict[str, Any], changed: Marks, *extra: tuple[int, str, dict[str, Any]], end_ms: int = 60_000
) -> Any:
    """Ten marks a second apart, those in ``changed`` otherwise than performed, then the finish."""
    planned = [
        (1000 * n, "marked", {"step": s, "mark": changed.get(s, "performed")})
        for n, s in enumerate(document["steps"], 1)
    ]
    planned = [(0, "started", {}), *sorted([*planned, *extra], key=lambda one: one[0]), (end_ms, "finished", {})]
    return [event(seq, at, kind, **payload) for seq, (at, kind, payload) in enumerate(planned, 1)]


def result(document: dict[str, Any], log: Any, attempt_no: int = 1) -> dict[str, Any]:
    sheets = [{"id": "s1", "kind": "primary", "events": log}]
    return decide(document, sheets, attempt_no=attempt_no).as_dict()


def why(decision: dict[str, Any]) -> list[tuple[str, str]]:
    return [(reason["kind"], reason["code"]) for reason in decision["reasons"] if reason["decides"]]


def test_satisfactory_or_not_for_the_whole_skill() -> None:
    """A university program: satisfactory or unsatisfactory, each step must be satisfactory."""
    document = rule(score={"kind": "all"})
    assert result(document, attempt(document, {}))["outcome"] == "satisfactory"
    assert why(result(document, attempt(document, {"t3": "not_performed"}))) == [("score", "step_missed")]


def test_all_critical_elements_and_what_is_not_completed_in_time_fails() -> None:
    """A college program: 100 % of the critical elements; the limit is enforced; a no-show is a failed attempt."""
    limits = [
        {"id": "whole", "scope": "whole", "limit_ms": 30_000, "on_reaching": "fail_unfinished", "scalable": True}
    ]
    document = rule(limits=limits)
    assert (
        result(document, attempt(document, {"s3": "not_performed", "t1": "said"}, end_ms=29_000))["outcome"]
        == "satisfactory"
    )
    assert why(result(document, attempt(document, {"s2": "not_performed"}))) == [("critical", "critical_missed")]
    late = attempt(document, {}, (31_000, "marked", {"step": "s2", "mark": "performed"}))
    assert why(result(document, late)) == [("time", "step_late")]
    assert why(decide(document, []).as_dict()) == [("no_show", "no_show")]


def test_points_asked_for_the_skill() -> None:
    """A university program: a number of points for each skill."""
    document = rule(score={"kind": "points", "cut": "8.5"}, critical_all=False)
    assert result(document, attempt(document, {"t1": "not_performed"}))["outcome"] == "satisfactory"
    missed = {"t1": "not_performed", "t2": "not_performed"}
    assert why(result(document, attempt(document, missed))) == [("score", "score_below")]


def test_safety_in_full_and_technique_at_seventy_seven_two_kinds_of_failure_capped_retake() -> None:
    """A physical-therapy program: safety 100 % and technical at least 77 %; a passed retake is graded 77 %."""
    score = {"kind": "percent", "cut": None, "per_section": {"safety": "100", "technique": "77"}, "retake_cap": "77"}
    document = rule(score=score)
    unsafe = result(document, attempt(document, {"s4": "not_performed"}))
    clumsy = result(document, attempt(document, {"t4": "not_performed", "t5": "not_performed"}))
    failed = [{r.get("section") for r in d["reasons"] if r["decides"]} for d in (unsafe, clumsy)]
    assert failed == [{"safety"}, {"technique"}]
    one_missed = attempt(document, {"t4": "not_performed"})
    assert result(document, one_missed)["score"]["reported"] == "90"
    assert result(document, one_missed, attempt_no=2)["score"]["reported"] == "77"


def test_every_bold_step_with_a_measured_skill_and_a_correction_said_aloud() -> None:
    """A state nurse-aide examination: all bold steps; one skill is measured; a student may correct a step."""
    document = rule()
    document["steps"]["s2"]["measured"] = {"unit": "/min", "target": None, "tolerance": "2"}
    corrected = attempt(
        document,
        {"s1": "self_corrected"},
        (2500, "measured", {"step": "s2", "value": "70", "unit": "/min", "expected": "72"}),
    )
    assert result(document, corrected)["outcome"] == "satisfactory"
    off = attempt(document, {}, (2500, "measured", {"step": "s2", "value": "69", "unit": "/min", "expected": "72"}))
    assert why(result(document, off)) == [("critical", "measured_out")]


def test_the_order_of_the_card() -> None:
    """The same examination: in the order of the card, hand-washing first; written as pairs, not as one sequence."""
    pairs = [{"id": "wash", "before": "s1", "after": "t1", "critical": True}]
    document = rule(pairs=pairs)
    assert result(document, attempt(document, {}))["outcome"] == "satisfactory"
    washed_late = attempt(document, {}, (20_000, "marked", {"step": "s1", "mark": "performed"}))
    assert why(result(document, washed_late)) == [("order", "order_broken")]


def test_all_measures_go() -> None:
    """An army task guide: every performance measure GO, the count within two of the evaluator's own."""
    document = rule(score={"kind": "all"})
    document["steps"]["t2"]["measured"] = {"unit": "/min", "target": None, "tolerance": "2"}
    close = attempt(document, {}, (9000, "measured", {"step": "t2", "value": "18", "unit": "/min", "expected": "16"}))
    far = attempt(document, {}, (9000, "measured", {"step": "t2", "value": "19", "unit": "/min", "expected": "16"}))
    assert result(document, close)["outcome"] == "satisfactory"
    assert why(result(document, far)) == [("score", "measured_out")]


def test_hand_hygiene_on_entry_fails_by_itself_within_twenty_five_minutes() -> None:
    """A college's catheter form: a line missed on entry is an automatic failure; 25 minutes printed on the form."""
    limits = [{"id": "whole", "scope": "whole", "limit_ms": 1_500_000, "on_reaching": "fail"}]
    document = rule(limits=limits, score={"kind": "percent", "cut": "50"})
    missed = result(document, attempt(document, {"s1": "not_performed"}))
    assert (why(missed), missed["score"]["percent"]) == ([("critical", "critical_missed")], "90")
    slow = result(document, attempt(document, {}, end_ms=1_500_001))
    assert why(slow) == [("time", "time_over")]


def test_eighty_percent_and_automatic_failures() -> None:
    """A consensus on tracheostomy care: a cut of 80 % and items that fail by themselves."""
    document = rule(
        score={"kind": "percent", "cut": "80"}, automatic_fail=["breach_unnoticed", "safety_stop"], critical_all=False
    )
    two = {"t1": "not_performed", "t2": "not_performed"}
    assert result(document, attempt(document, two))["outcome"] == "satisfactory"
    assert why(result(document, attempt(document, two | {"t3": "said"}))) == [("score", "score_below")]
    breach = (30_000, "breach", {"kind": "asepsis", "noticed": False})
    assert why(result(document, attempt(document, {}, breach))) == [("safety", "breach_unnoticed")]
    stop = (30_000, "stopped", {"reason": "safety"})
    assert why(result(document, attempt(document, {}, stop))) == [("safety", "safety_stop")]


def test_ill_supplied_lab_voids_and_does_not_count() -> None:
    """Everywhere: a missing supply is the lab's fault, not the student's."""
    document = rule(score={"kind": "all"})
    stop = (5500, "stopped", {"reason": "lab", "text": "no sterile gloves left"})
    decision = result(document, attempt(document, {"s1": "not_performed"}, stop))
    assert (decision["outcome"], why(decision)) == ("void", [("lab", "lab_stop")])
