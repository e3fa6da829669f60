"""The editor and the rule page, without any script."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from checkoffs.procedures import actions, editing
from checkoffs.procedures.content import completed, numbered_steps
from tests.procedures.make import drafted, ids, pulse
from tests.procedures.views.make import address, content_of, edit, rule_data, step_data
from tests.world import World

DEMO = Path(__file__).resolve().parents[3] / "fixtures/demo/procedures"


def test_a_step_is_saved_with_every_field(world: World, signed_in: Any) -> None:
    procedure = drafted(world)
    step = ids(pulse())[3]
    data = step_data(procedure, step, text="Count", cue="Watch the clock", why="Rhythm", right="60 s\nnot 30 s",
                     critical="on", critical_reason="Short counts miss pauses", subpoints="start at a beat",
                     phrases="Counted 30 s only.", timed_least="60", measured_unit="/min", measured_tolerance="4",
                     optional="", points="2")  # fmt: skip
    response = edit(signed_in("instructor"), procedure, f"save:{step}", **data)
    assert response.status_code == 302
    held = editing._place(content_of(procedure), step)[0]["steps"]
    saved = next(one for one in held if one["id"] == step)
    assert saved == {
        "id": step, "text": "Count", "cue": "Watch the clock", "why": "Rhythm", "right": ["60 s", "not 30 s"],
        "critical": True, "critical_reason": "Short counts miss pauses", "marks": ["performed", "not_performed"],
        "subpoints": ["start at a beat"], "optional": False, "phrases": ["Counted 30 s only."],
        "measured": {"unit": "/min", "target": None, "tolerance": "4"},
        "timed": {"at_least_s": 60, "at_most_s": None}, "points": "2",
    }  # fmt: skip


def test_a_step_with_a_fault_keeps_what_was_typed(world: World, signed_in: Any) -> None:
    procedure = drafted(world)
    step = ids(pulse())[0]
    data = step_data(procedure, step, text="Typed words", timed_least="60", timed_most="10")
    response = edit(signed_in("instructor"), procedure, f"save:{step}", **data)
    assert response.status_code == 422
    assert "Typed words" in response.content.decode()
    assert "At most 10 s lies below at least 60 s." in response.content.decode()
    assert content_of(procedure) == pulse()


def test_a_conflict_names_who_and_what_and_keeps_the_typed_words(world: World, signed_in: Any) -> None:
    procedure = drafted(world)
    step = ids(pulse())[0]
    theirs = editing.change_step(pulse(), step, text="Wash hands well")
    actions.save_draft(by=world.second_instructor, procedure=procedure, content=theirs, revision=1)
    client = signed_in("instructor")
    data = step_data(procedure, step, text="My words")
    response = edit(client, procedure, f"save:{step}", revision=1, **data)
    page = response.content.decode()
    assert response.status_code == 409
    for words in (
        world.second_instructor.full_name,
        "step 1 “Wash hands well”: words",
        "My words",
        "Wash hands well",
    ):
        assert words in page
    assert 'name="revision" value="2"' in page
    assert edit(client, procedure, f"save:{step}", revision=2, **data).status_code == 302


def test_a_step_a_colleague_took_out_shows_what_was_typed_for_it(world: World, signed_in: Any) -> None:
    procedure = drafted(world)
    step = ids(pulse())[4]
    data = step_data(procedure, step, text="My words")
    gone = editing.remove_step(pulse(), step).content
    actions.save_draft(by=world.second_instructor, procedure=procedure, content=gone, revision=1)
    response = edit(signed_in("instructor"), procedure, f"save:{step}", **data)
    assert response.status_code == 409
    assert "My words" in response.content.decode()


def test_steps_move_split_join_and_leave_without_a_script(world: World, signed_in: Any) -> None:
    procedure, client = drafted(world), signed_in("instructor")
    first, second, third, fourth, fifth = ids(pulse())
    edit(client, procedure, f"down:{first}", 1)
    assert ids(content_of(procedure))[:2] == [second, first]
    edit(client, procedure, f"down:{first}", 2)
    assert ids(content_of(procedure)) == [second, first, third, fourth, fifth]
    assert len(content_of(procedure)["sections"][0]["steps"]) == 1
    edit(client, procedure, f"split:{fourth}", 3, first="Count", second="for a minute")
    assert [one.step["text"] for one in numbered_steps(content_of(procedure))][3:5] == ["Count", "for a minute"]
    edit(client, procedure, f"join:{fourth}", 4)
    edit(client, procedure, f"remove:{fifth}", 5)
    place = {"section": content_of(procedure)["sections"][0]["id"], "to": "0"}
    edit(client, procedure, f"place:{third}", 6, **place)
    assert ids(content_of(procedure)) == [third, second, first, fourth]
    refused = edit(client, procedure, f"join:{fourth}", 7)
    assert refused.status_code == 422
    assert "no step below it" in refused.content.decode()


def test_an_unknown_order_changes_nothing(world: World, signed_in: Any) -> None:
    procedure = drafted(world)
    for do in ("erase:all", "up:nowhere", "", "lift:x"):
        assert edit(signed_in("instructor"), procedure, do).status_code == 422
    assert content_of(procedure) == pulse()


@pytest.mark.parametrize("name", sorted(path.stem for path in DEMO.glob("*.json")))
def test_a_rule_page_posted_back_unchanged_changes_nothing(world: World, signed_in: Any, name: str) -> None:
    content = completed(json.loads((DEMO / f"{name}.json").read_text()))
    procedure = drafted(world, **content)
    response = signed_in("instructor").post(address("rule", procedure), rule_data(content) | {"revision": 1})
    assert response.status_code == 302, response.context["form"].errors
    assert content_of(procedure) == content


def test_a_rule_is_written_and_read_back_in_sentences(world: World, signed_in: Any) -> None:
    procedure, client = drafted(world), signed_in("instructor")
    steps = ids(pulse())
    data = rule_data(pulse()) | {
        "revision": 1,
        "score_kind": "percent", "score_cut": "80", "prompts_total": "2",
        "limits-0-of": "whole:", "limits-0-minutes": "5", "limits-0-on_reaching": "fail", "limits-0-scalable": "on",
        "pairs-0-before": steps[0], "pairs-0-after": steps[2], "pairs-0-critical": "on",
        "gaps-0-start": steps[2], "gaps-0-stop": steps[3], "gaps-0-at_least_s": "15",
        "stated-0-id": "count", "stated-0-label": "Pulse", "stated-0-step": steps[4], "stated-0-no_unit": "wrong",
    }  # fmt: skip
    response = client.post(address("rule", procedure), data, follow=True)
    sentences = response.context["sentences"]
    assert "At least 80 % of the whole list is asked." in sentences
    assert any(line.startswith("Time limit for the whole attempt: 5") for line in sentences)
    assert any(line.startswith("Order (critical):") for line in sentences)
    rule = content_of(procedure)["rule"]
    assert rule["gaps"][0]["at_least_s"] == 15
    assert rule["stated"] == [
        {"id": "count", "label": "Pulse", "step": steps[4], "closes_with": None, "no_unit": "wrong",
         "critical": False, "must_be_right": True, "grades_rounding": False}
    ]  # fmt: skip


def test_a_rule_with_faults_says_which_and_keeps_what_was_typed(world: World, signed_in: Any) -> None:
    procedure = drafted(world)
    steps = ids(pulse())
    data = rule_data(pulse()) | {
        "revision": 1, "score_kind": "percent",
        "pairs-0-before": steps[0], "pairs-0-after": steps[0], "gaps-0-start": steps[0], "gaps-0-stop": steps[1],
    }  # fmt: skip
    response = signed_in("instructor").post(address("rule", procedure), data)
    page = response.content.decode()
    assert response.status_code == 422
    for words in ("Give the cut", "Choose two different steps.", "Give at least or at most."):
        assert words in page
    assert content_of(procedure) == pulse()
