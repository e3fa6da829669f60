"""The list of procedures, one procedure, its versions, publishing."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from checkoffs.procedures import actions, editing
from tests.attempts.make import open_attempt
from tests.procedures.make import drafted, ids, published, pulse
from tests.procedures.views.make import address
from tests.world import World


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
