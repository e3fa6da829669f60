"""What is left to settle before a signature, and what a moderator is asked."""

from __future__ import annotations

from typing import Any

from checkoffs.procedures.content import scoring_rule
from checkoffs.records.settling import still_to_settle, to_moderate
from checkoffs.scoring.decide import decide
from checkoffs.scoring.fold import fold
from tests.records import infusion

RULE = scoring_rule(infusion.content())


def _decided(events: list[dict[str, Any]]) -> tuple[dict[str, Any], dict[str, Any]]:
    decision = decide(RULE, [{"id": infusion.SHEET, "kind": "primary", "events": events}]).as_dict()
    return decision, fold(RULE, events).as_dict()


def test_a_stopped_attempt_may_leave_steps_open() -> None:
    """Ended for safety after two steps: the rest was never seen, and that is no fault of the sheet."""
    log = infusion.Log()
    log.add("identity_confirmed", 0, how="photo card")
    log.add("started")
    log.add("marked", 10, step="s1", mark="performed")
    log.add("stopped", 20, reason="safety", text="Needle left uncapped.")
    decision, state = _decided(log.events)
    assert {item["why"] for item in decision["settle"]} >= {"step_open"}
    assert still_to_settle(decision, state) == []


def test_an_open_step_of_a_finished_attempt_may_not() -> None:
    """It is named."""
    events = [event for event in infusion.events() if event["payload"].get("step") != "s2"]
    assert still_to_settle(*_decided(events)) == [{"type": "step", "id": "s2", "why": "step_open"}]


def test_a_critical_step_not_observed_is_put_to_the_moderator() -> None:
    """With what the sheet holds about it and the two answers there are."""
    events = infusion.events(marks={24: (955, "not_observed")}, rate="13.1")
    decision, state = _decided(events)
    assert decision["outcome"] == "moderation"
    (item,) = to_moderate(decision, RULE, {infusion.SHEET: state})
    assert (item["key"], item["step"]) == ("step:s24", "s24")
    assert [answer["verdict"] for answer in item["answers"]] == ["performed", "not_performed"]
    assert item["seen"] == [{"icon": "not_observed", "text": "not observed, 15:00"}]
