"""The pages of procedures: bringing a list in, the editor, the rule, publishing. Without any script."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from checkoffs.procedures import actions, editing
from checkoffs.procedures.content import completed, numbered_steps
from checkoffs.procedures.forms.rule import RuleForm, rule_lists
from checkoffs.procedures.models import Procedure, ProcedureDraft
from tests.attempts.make import open_attempt
from tests.procedures.make import LIST, drafted, ids, published, pulse
from tests.world import World

DEMO = Path(__file__).resolve().parents[2] / "fixtures/demo/procedures"


def address(name: str, procedure: Procedure, **more: Any) -> str:
    return reverse(f"procedures:{name}", kwargs={"procedure": procedure.pk, **more})


def content_of(procedure: Procedure) -> Any:
    return ProcedureDraft.objects.get(procedure=procedure).content


def edit(client: Any, procedure: Procedure, do: str, revision: int = 1, **fields: Any) -> Any:
    return client.post(address("edit", procedure), {"revision": revision, "do": do, **fields})


def step_data(procedure: Procedure, step: str, **changes: Any) -> dict[str, Any]:
    """A step's form as a browser would post it back."""
    found = next(one for one in numbered_steps(content_of(procedure)) if one.step["id"] == step)
    return {
        "text": found.step["text"],
        "section": found.section["id"],
        "points": "1",
        "marks": ["performed", "not_performed"],
        "subpoints": "\n".join(found.step["subpoints"]),
    } | changes


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_asks_the_same_number_of_questions_however_long(world: World, signed_in: Any, count: int) -> None:
    for _ in range(count):
        open_attempt(world, version=published(world).versions.get())
        drafted(world)
    client = signed_in("evaluator")
    client.get(reverse("procedures:list"))
    with CaptureQueriesContext(
        connection,
    ) as queries:
        response = client.get(reverse("procedures:list"))
    assert response.context["page"].paginator.count == 2 * count
    assert len(queries) <= 9, [query["sql"][:80] for query in queries]


@pytest.mark.parametrize("count", [1, 3])
def test_a_procedure_page_asks_the_same_number_of_questions(world: World, signed_in: Any, count: int) -> None:
    procedure = published(world)
    for _ in range(count):
        actions.open_draft(by=world.instructor, procedure=procedure)
        actions.publish(by=world.instructor, procedure=procedure, revision=1)
    client = signed_in("coordinator")
    with CaptureQueriesContext(connection) as queries:
        response = client.get(address("procedure", procedure))
    assert len(response.context["versions"]) == count + 1
    assert len(queries) <= 11


def test_the_list_filters_sorts_and_says_what_is_in_use(world: World, signed_in: Any) -> None:
    used, idle = published(world), drafted(world, title="Apply a dressing")
    open_attempt(world, version=used.versions.get())
    actions.retire(by=world.instructor, procedure=drafted(world, title="Old list"))
    client = signed_in("evaluator")

    def titles(query: str) -> list[str]:
        return [one.title for one in client.get(reverse("procedures:list") + query).context["page"]]

    assert titles("") == [idle.title, used.title]
    assert titles("?sort=-used") == [used.title, idle.title]
    assert titles("?state=draft") == [idle.title]
    assert titles("?state=retired") == ["Old list"]
    assert titles("?text=pulse") == [used.title]


def test_a_pasted_list_is_shown_corrected_and_saved(world: World, signed_in: Any) -> None:
    client = signed_in("instructor")
    shown = client.post(reverse("procedures:new"), {"do": "read", "program": world.program.pk, "text": LIST})
    rows = [(row.kind, row.text, row.critical, row.line) for row in shown.context["rows"]]
    assert rows == [
        ("section", "Before", False, 3),
        ("step", "Clean hands", False, 4),
        ("step", "Confirm name and birth date with the wristband", True, 5),
        ("section", "At the bedside", False, 6),
        ("step", "Find the pulse below the thumb", False, 7),
        ("subpoint", "two fingers, no thumb", False, 8),
        ("subpoint", "light pressure", False, 9),
        ("step", "Count for a full minute", False, 10),
        ("step", "Write the rate down", False, 11),
    ]
    assert not Procedure.objects.exists()
    kinds = [row[0] for row in rows]
    kinds[6], kinds[8] = "step", "out"
    saved = client.post(
        reverse("procedures:new"),
        {"do": "save", "program": world.program.pk, "title": "Pulse", "source": LIST, "kind": kinds,
         "text": [row[1] for row in rows], "line": [row[3] for row in rows], "critical": ["1"]},
        follow=True,
    )  # fmt: skip
    procedure = Procedure.objects.get()
    steps = [(one.step["text"], one.step["critical"], one.step["subpoints"])
             for one in numbered_steps(content_of(procedure))]  # fmt: skip
    assert steps == [
        ("Clean hands", True, []),
        ("Confirm name and birth date with the wristband", False, []),
        ("Find the pulse below the thumb", False, ["two fingers, no thumb"]),
        ("light pressure", False, []),
        ("Count for a full minute", False, []),
    ]
    assert "1 lines were left out" in saved.content.decode()


def test_a_file_is_read_and_one_that_is_no_text_is_refused_with_what_is_taken(world: World, signed_in: Any) -> None:
    client = signed_in("instructor")
    data = {"do": "read", "program": world.program.pk}
    shown = client.post(reverse("procedures:new"), data | {"file": SimpleUploadedFile("list.txt", LIST.encode())})
    assert shown.context["counts"]["step"] == 5
    refused = client.post(reverse("procedures:new"), data | {"file": SimpleUploadedFile("l.pdf", b"%PDF-1.7")})
    assert refused.status_code == 422
    assert "The file is a PDF, not plain text." in refused.content.decode()


def test_a_list_without_a_title_is_kept_on_the_page(world: World, signed_in: Any) -> None:
    data = {"do": "save", "program": world.program.pk, "title": "", "kind": ["step"], "text": ["Clean hands"]}
    response = signed_in("instructor").post(reverse("procedures:new"), data)
    assert response.status_code == 422
    assert "Clean hands" in response.content.decode()
    assert not Procedure.objects.exists()


def test_an_empty_list_starts_with_one_step(world: World, signed_in: Any) -> None:
    data = {"do": "empty", "program": world.program.pk, "title": "Bed bath"}
    response = signed_in("instructor").post(reverse("procedures:new"), data)
    assert response.status_code == 302
    assert len(list(numbered_steps(content_of(Procedure.objects.get())))) == 1


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


def rule_data(content: Any) -> dict[str, Any]:
    """The rule page as a browser posts it back unchanged."""
    data: dict[str, Any] = {}
    for form in [RuleForm(content=content), *(form for lines in rule_lists(content).values() for form in lines)]:
        for bound in form:
            value = bound.value()
            if value is not None and value is not False and value != "":
                data[bound.html_name] = "on" if value is True else value
    for lines in rule_lists(content).values():
        for bound in lines.management_form:
            data[bound.html_name] = bound.value()
    return data


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


def test_publishing_shows_the_findings_and_then_freezes(world: World, signed_in: Any) -> None:
    bare = editing.change_step(pulse(), ids(pulse())[1], critical_reason="")
    procedure, client = drafted(world, **bare), signed_in("instructor")
    refused = client.post(address("publish", procedure), {"revision": 1})
    assert refused.status_code == 422
    assert "Step 2 is critical, but no reason says why." in refused.content.decode()
    actions.save_draft(by=world.instructor, procedure=procedure, content=pulse(), revision=1)
    assert client.post(address("publish", procedure), {"revision": 1}).status_code == 409
    assert client.post(address("publish", procedure), {"revision": 2}).status_code == 302
    assert procedure.versions.get().number == 1


def test_a_version_shows_the_steps_with_cues_to_evaluators_and_nothing_to_students(
    world: World, signed_in: Any
) -> None:
    cued = editing.change_step(pulse(), ids(pulse())[0], cue="Looks between the fingers")
    procedure = drafted(world, **cued)
    actions.publish(by=world.instructor, procedure=procedure, revision=1)
    page = signed_in("evaluator").get(address("version", procedure, number=1)).content.decode()
    assert "Looks between the fingers" in page
    assert signed_in("student").get(address("version", procedure, number=1)).status_code == 403
    assert signed_in("evaluator").get(address("version", procedure, number=2)).status_code == 404


def test_no_page_writes_script_or_style_into_itself(world: World, signed_in: Any) -> None:
    hostile = '<img src=x onerror="alert(1)">'
    procedure = drafted(world, **editing.change_step(pulse(), ids(pulse())[0], text=hostile))
    client = signed_in("instructor")
    for name in ("procedure", "edit", "rule", "draft", "publish"):
        page = client.get(address(name, procedure)).content.decode()
        assert "<img src=x" not in page
        assert not re.search(r"<script(?![^>]*\bsrc=)|\sstyle=", page)
