"""The promises of the fold, each as a property over random rules and logs. (The seventh: test_agreement.)

1 delivery order does not matter · 2 sending twice does not matter · 3 an unknown or malformed event is an error ·
4 time comes only from the events · 5 any prefix folds · 6 undo of the last event gives the state before it.
"""

from __future__ import annotations

import ast
import random
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import checkoffs.scoring
from checkoffs.scoring.decide import decide
from checkoffs.scoring.errors import ScoringError
from checkoffs.scoring.events import ENVELOPE, PAYLOADS, UNDOABLE
from checkoffs.scoring.fold import fold
from tests.scoring.logs import random_log, random_payload, random_rule

dice_of = st.integers(0, 2**32).map(random.Random)
promise = settings(max_examples=120, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def outcome(rule: dict[str, Any], log: list[dict[str, Any]]) -> dict[str, Any]:
    return decide(rule, [{"id": "s1", "kind": "primary", "events": log}]).as_dict()


@promise
@given(dice_of)
def test_delivery_order_does_not_matter(dice: random.Random) -> None:
    rule, log = random_rule(dice), random_log(dice)
    shuffled = dice.sample(log, len(log))
    assert fold(rule, shuffled).as_dict() == fold(rule, log).as_dict()
    assert outcome(rule, shuffled) == outcome(rule, log)


@promise
@given(dice_of)
def test_sending_twice_does_not_matter(dice: random.Random) -> None:
    rule, log = random_rule(dice), random_log(dice)
    again = [*log, *dice.choices(log, k=dice.randrange(1, 10))]
    assert fold(rule, again).as_dict() == fold(rule, log).as_dict()
    assert outcome(rule, again) == outcome(rule, log)


def malformed(dice: random.Random, event: dict[str, Any]) -> dict[str, Any]:
    """The event with one thing wrong that no reading can excuse."""
    needed = [name for name, spec in PAYLOADS[event["kind"]].items() if not spec.endswith("?")]
    broken: list[dict[str, Any]] = [
        {**event, "kind": "sneezed"},
        {**event, "payload": {**event["payload"], "mood": "good"}},
        {**event, "payload": None},
        {**event, "mood": "good"},
        {**event, "at_ms": -1},
        {**event, "at_ms": "soon"},
        {**event, "seq": 0},
        {**event, "wall": "noon"},
        {**event, "source": "hearsay"},
        {name: value for name, value in event.items() if name != dice.choice(ENVELOPE)},
    ]
    for name in needed:
        broken.append({**event, "payload": {k: v for k, v in event["payload"].items() if k != name}})
        broken.append({**event, "payload": {**event["payload"], name: [None]}})
    return dice.choice(broken)


@promise
@given(dice_of)
def test_a_malformed_event_is_an_error_with_its_index_and_never_skipped(dice: random.Random) -> None:
    rule, log = random_rule(dice), random_log(dice)
    index = dice.randrange(len(log))
    broken = malformed(dice, log[index])
    if broken == log[index]:
        return
    with pytest.raises(ScoringError) as raised:
        fold(rule, [*log[:index], broken, *log[index + 1 :]])
    assert raised.value.index == index
    assert raised.value.code
    assert raised.value.field


@promise
@given(dice_of, st.integers(1, 27))
def test_time_comes_only_from_the_events(dice: random.Random, day: int) -> None:
    """The device's wall clock is kept for the record and changes nothing, except what a bridge says of it."""
    rule, log = random_rule(dice), random_log(dice)
    elsewhere = [{**event, "wall": f"2031-02-{day:02d}T23:59:59.999Z"} for event in log]
    here, there = fold(rule, log).as_dict(), fold(rule, elsewhere).as_dict()
    assert {**here, "started_wall": ""} == {**there, "started_wall": ""}
    assert outcome(rule, log) == outcome(rule, elsewhere)


def test_the_package_imports_no_clock_no_randomness_and_nothing_outside_itself() -> None:
    """What may be imported is listed, so that a new import is a decision."""
    allowed = {"__future__", "collections.abc", "dataclasses", "fractions", "re", "typing"}
    for path in Path(next(iter(checkoffs.scoring.__path__))).glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text())):
            names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            names += [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            strangers = [n for n in names if n not in allowed and not n.startswith("checkoffs.scoring.")]
            assert strangers == [], path.name


@promise
@given(dice_of)
def test_any_prefix_folds(dice: random.Random) -> None:
    """In the order written, and in whatever order it was delivered before the crash."""
    rule, log = random_rule(dice), random_log(dice)
    delivered = dice.sample(log, len(log))
    for cut in range(len(log) + 1):
        assert fold(rule, log[:cut]).as_dict()["fold"] == "1"
        assert fold(rule, delivered[:cut]).as_dict()["fold"] == "1"
        assert outcome(rule, delivered[:cut])["outcome"] in ("satisfactory", "unsatisfactory", "moderation", "void")


def appended(
    log: list[dict[str, Any]], kind: str, payload: dict[str, Any], after_ms: int = 250
) -> list[dict[str, Any]]:
    seq = len(log) + 1
    at_ms = log[-1]["at_ms"] + after_ms
    return [*log, {**log[-1], "id": f"s1-{seq}", "seq": seq, "at_ms": at_ms, "kind": kind, "payload": payload}]


@promise
@given(dice_of)
def test_undo_of_the_last_event_gives_the_state_before_it_and_redo_gives_it_back(dice: random.Random) -> None:
    """All but ``redo``, which then offers what was undone."""
    rule, log = random_rule(dice), random_log(dice)
    kind, payload = random_payload(dice, log, log[-1]["at_ms"])
    if kind not in UNDOABLE:
        return
    done = appended(log, kind, payload)
    if kind != "breach" or "of" not in payload:
        assert fold(rule, done).undo == done[-1]["id"]
    undone = appended(done, "retracted", {"event": done[-1]["id"]})
    before, after = fold(rule, log).as_dict(), fold(rule, undone).as_dict()
    assert after["redo"] == undone[-1]["id"]
    assert {**after, "redo": None} == {**before, "redo": None}
    assert outcome(rule, undone) == outcome(rule, log)
    redone = appended(undone, "retracted", {"event": undone[-1]["id"]})
    again = fold(rule, redone).as_dict()
    assert {**again, "redo": None} == {**fold(rule, done).as_dict(), "redo": None}
