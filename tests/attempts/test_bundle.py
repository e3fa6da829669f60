"""The bundle holds what one tablet needs, and nothing that its evaluator must not see."""

from __future__ import annotations

import json
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from checkoffs.attempts.actions import open_second_sheet
from checkoffs.attempts.bundle import bundle_of
from checkoffs.attempts.models import Attempt, Purpose, Sheet
from checkoffs.attempts.queries import sheets_to_show
from checkoffs.cases.actions import draw_case
from checkoffs.people.models import User
from checkoffs.people.permissions import Access
from checkoffs.scoring.fold import fold
from tests.attempts.make import ALL_DONE, Tablet, open_attempt, stated_version
from tests.cases.make import pump_template
from tests.world import World


@pytest.fixture
def attempt(world: World) -> Attempt:
    version = stated_version(world)
    case = draw_case(by=world.evaluator, template=pump_template(world, version.procedure), seed=3)
    return open_attempt(world, version=version, case=case, time_factor=Decimal("1.50"), place="bay 1")


def bundle(sheet: Sheet, person: User) -> dict[str, object]:
    access = Access.of(person)
    return bundle_of(sheets_to_show(access).get(pk=sheet.pk), access)


def test_the_bundle_has_all_parts_and_is_plain_json(world: World, attempt: Attempt) -> None:
    sheet = attempt.sheets.get()
    found = json.loads(json.dumps(bundle(sheet, world.evaluator)))
    assert set(found) == {
        "protocol", "sheet", "attempt", "student", "evaluator", "procedure", "rule", "case", "key", "events",
        "server_time", "addresses",
    }  # fmt: skip
    assert found["sheet"] == {
        "id": str(sheet.pk), "kind": "primary", "version": 0, "device": None, "signed": False,
    }  # fmt: skip
    assert (found["attempt"]["time_factor"], found["attempt"]["number"], found["attempt"]["attempt_no"]) == (
        "1.5",
        1,
        1,
    )
    assert found["student"] == {"called": "Marit", "opaque": str(world.student.opaque)}
    assert found["evaluator"]["signature"] == "Jo Castellane, RN"
    steps = found["procedure"]["sections"][0]["steps"]
    assert [(step["number"], step["id"], step["critical"]) for step in steps] == [
        (1, "a1", False), (2, "a2", True), (3, "a3", False),
    ]  # fmt: skip
    assert set(found["addresses"]) == {"events", "take_over", "sign", "done"}
    assert fold(found["rule"], found["events"]).clock.status == "not_started"


def test_names_on_the_tablet_are_first_names_only(world: World, attempt: Attempt) -> None:
    text = json.dumps(bundle(attempt.sheets.get(), world.evaluator))
    for secret in (world.student.full_name, world.student.number, world.student.email):
        assert secret not in text


def test_events_come_back_and_the_version_counts_them(world: World, attempt: Attempt) -> None:
    tablet = Tablet(attempt.sheets.get())
    events = tablet.run(ALL_DONE)
    tablet.send(events)
    found = bundle(tablet.sheet, world.evaluator)
    assert found["events"] == events
    assert found["sheet"]["version"] == 5  # type: ignore[index]
    assert found["sheet"]["device"] == tablet.device  # type: ignore[index]


def test_a_second_sheet_is_blind(world: World, attempt: Attempt) -> None:
    first = Tablet(attempt.sheets.get())
    first.send(first.run(ALL_DONE))
    second = Tablet(open_second_sheet(by=world.second_evaluator, attempt=attempt))
    second.send([mine := second.event("started")])
    found = bundle(second.sheet, world.second_evaluator)
    assert found["events"] == [mine]
    text = json.dumps(found)
    assert str(first.sheet.pk) not in text
    assert first.device not in text
    assert str(world.evaluator.opaque) not in text
    assert world.evaluator.called not in text


def test_cues_are_for_evaluators_and_never_for_students(world: World) -> None:
    practice = open_attempt(world, evaluator=world.fellow_student, purpose=Purpose.PRACTICE)
    text = json.dumps(bundle(practice.sheets.get(), world.fellow_student))
    assert "thumbs too" not in text
    taught = open_attempt(world, number=2)
    assert "thumbs too" in json.dumps(bundle(taught.sheets.get(), world.evaluator))


def test_the_bundle_costs_the_same_for_few_events_and_for_many(world: World, attempt: Attempt) -> None:
    tablet = Tablet(attempt.sheets.get())
    counts = []
    for size in (1, 3, 40):
        tablet.send([tablet.event("noted", {"text": "x"}, 5) for _ in range(size)])
        with CaptureQueriesContext(connection) as seen:
            bundle(tablet.sheet, world.evaluator)
        counts.append(len(seen))
    assert counts[0] == counts[1] == counts[2]
