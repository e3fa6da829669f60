"""The fold on small logs written out by hand: one behaviour each."""

from __future__ import annotations

from typing import Any

import pytest

from checkoffs.scoring.decide import decide
from checkoffs.scoring.errors import ScoringError
from checkoffs.scoring.fold import fold

RULE: dict[str, Any] = {
    "sections": [{"id": "a", "steps": ["a1", "a2"]}],
    "steps": {
        "a1": {
            "section": "a",
            "number": 1,
            "critical": True,
            "reason": "Hands carry what the glove should keep out.",
        },
        "a2": {"section": "a", "number": 2},
    },
    "score": {"kind": "percent", "cut": "50", "per_section": {}, "retake_cap": None},
}


def event(seq: int, at_ms: int | None, kind: str, /, **payload: Any) -> dict[str, Any]:
    return {
        "id": f"e{seq}",
        "sheet": "s1",
        "by": "u1",
        "device": "d1",
        "seq": seq,
        "at_ms": at_ms,
        "wall": "2026-10-14T10:05:00.123Z",
        "kind": kind,
        "payload": payload,
        "source": "tablet" if at_ms is not None else "paper",
    }


def test_an_empty_log_is_a_sheet_not_started() -> None:
    state = fold(RULE, []).as_dict()
    assert state["status"] == "not_started"
    assert state["counted_ms"] is None
    assert state["steps"]["a1"]["mark"] is None


def test_the_last_mark_that_stands_wins_and_undo_names_it() -> None:
    log = [
        event(1, 0, "started"),
        event(2, 1000, "marked", step="a1", mark="performed"),
        event(3, 2000, "marked", step="a1", mark="prompted"),
    ]
    assert fold(RULE, log).as_dict()["steps"]["a1"]["mark"] == "prompted"
    assert fold(RULE, log).undo == "e3"
    undone = [*log, event(4, 2500, "retracted", event="e3")]
    state = fold(RULE, undone)
    assert (state.steps["a1"].mark, state.undo, state.redo) == ("performed", "e2", "e4")
    redone = [*undone, event(5, 2600, "retracted", event="e4")]
    assert (fold(RULE, redone).steps["a1"].mark, fold(RULE, redone).redo) == ("prompted", None)


def test_a_pause_with_a_reason_does_not_count_and_one_without_does() -> None:
    log = [
        event(1, 0, "started"),
        event(2, 10_000, "paused", reason="fire door alarm"),
        event(3, 40_000, "resumed"),
        event(4, 50_000, "paused"),
        event(5, 55_000, "resumed"),
        event(6, 60_000, "finished"),
    ]
    state = fold(RULE, log).as_dict()
    assert (state["raw_ms"], state["counted_ms"]) == (60_000, 30_000)
    assert [pause["counts"] for pause in state["pauses"]] == [False, True]


def test_a_decision_has_an_outcome_reasons_and_an_exact_score() -> None:
    log = [
        event(1, 0, "started"),
        event(2, 1000, "marked", step="a1", mark="performed"),
        event(3, 2000, "marked", step="a2", mark="not_performed"),
        event(4, 3000, "finished"),
    ]
    decision = decide(RULE, [{"id": "s1", "kind": "primary", "events": log}]).as_dict()
    assert decision["outcome"] == "satisfactory"
    assert decision["score"]["percent"] == "50"
    assert [(r["code"], r["step"], r["decides"]) for r in decision["reasons"]] == [("step_missed", "a2", False)]


def test_without_a_sheet_it_is_a_no_show() -> None:
    decision = decide(RULE, []).as_dict()
    assert decision["outcome"] == "unsatisfactory"
    assert decision["reasons"] == [{"code": "no_show", "kind": "no_show", "decides": True}]


@pytest.mark.parametrize(
    ("change", "code", "field"),
    [
        ({"kind": "sneezed"}, "unknown_kind", "kind"),
        ({"payload": {"step": "zz", "mark": "performed"}}, "unknown_step", "payload.step"),
        ({"payload": {"step": "a1", "mark": "sort_of"}}, "unknown_mark", "payload.mark"),
        ({"payload": {"step": "a1"}}, "missing", "payload.mark"),
        ({"payload": {"step": "a1", "mark": "performed", "mood": "good"}}, "unknown_field", "payload.mood"),
        ({"at_ms": -1}, "not_a_whole_number", "at_ms"),
        ({"at_ms": None}, "missing", "at_ms"),
        ({"seq": 0}, "not_a_count", "seq"),
        ({"seq": 1}, "seq_reused", "seq"),
        ({"id": "e1"}, "id_reused", "id"),
        ({"sheet": "s2"}, "other_sheet", "sheet"),
        ({"wall": "ten past four"}, "not_a_wall_time", "wall"),
    ],
)
def test_a_malformed_event_is_an_error_that_names_itself(change: dict[str, Any], code: str, field: str) -> None:
    log = [event(1, 0, "started"), event(2, 1000, "marked", step="a1", mark="performed") | change]
    with pytest.raises(ScoringError) as raised:
        fold(RULE, log)
    assert (raised.value.code, raised.value.field, raised.value.index) == (code, field, 1)


def test_only_checks_that_were_said_or_shown_are_in_the_state() -> None:
    rule = RULE | {"stated": [{"id": "rate"}, {"id": "vtbi"}]}
    log = [event(1, 0, "started"), event(2, 500, "revealed", check="vtbi")]
    assert list(fold(rule, log).stated) == ["vtbi"]
    assert fold(rule, log[:1]).as_dict()["stated"] == {}


def test_a_single_sheet_is_not_listed_again() -> None:
    log = [event(1, 0, "started")]
    assert decide(RULE, [{"id": "s1", "kind": "primary", "events": log}]).as_dict()["sheets"] == []


def test_a_factor_must_be_a_decimal_text() -> None:
    for factor in (1.5, "1,5", None, ""):
        with pytest.raises(ScoringError) as raised:
            decide(RULE, [], accommodation={"time_factor": factor})
        assert raised.value.field == "accommodation.time_factor"
