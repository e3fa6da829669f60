"""Today and the board: who sees what, and lists whose queries do not grow."""

from __future__ import annotations

from typing import Any

import pytest
from django.core.cache import cache
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from checkoffs.attempts.models import Permit
from checkoffs.days import actions, planning, queries
from checkoffs.days.models import Day, Slot
from checkoffs.people.actions import add_person
from tests.attempts.make import open_attempt, small_version
from tests.days.make import due_slot, fill, make_day, make_station, noon
from tests.world import World


@pytest.fixture(autouse=True)
def _no_kept_board() -> Any:
    cache.clear()
    yield
    cache.clear()


def board(client: Any, day: Day) -> str:
    """The fragment as text, not the one kept for a second."""
    cache.clear()
    return str(client.get(reverse("days:board", kwargs={"day": day.pk})).content.decode())


@pytest.mark.parametrize("kind", ["technician", "administrator"])
def test_the_board_without_names_or_results(world: World, signed_in: Any, kind: str) -> None:
    """Initials and slot numbers; no name of student or evaluator, no number, no word about moderation."""
    slot = due_slot(world)
    attempt = open_attempt(world)
    attempt.state = "moderation"
    attempt.save()
    Slot.objects.filter(pk=slot.pk).update(attempt=attempt)
    text = board(signed_in(kind), slot.station.day)
    assert "M.A." in text
    for private in ("Adeyemi", "Castellane", world.student.number, "moderation", "satisfactory"):
        assert private not in text
    assert "moderation" not in board(signed_in("evaluator"), slot.station.day)
    named = board(signed_in("coordinator"), slot.station.day)
    assert "Marit Adeyemi" in named
    assert "needs moderation" in named


def test_the_board_is_kept_for_a_second_for_those_who_see_the_same(world: World, signed_in: Any) -> None:
    """Two technicians' tablets cost one reading; a coordinator's is another."""
    slot = due_slot(world)
    address = reverse("days:board", kwargs={"day": slot.station.day_id})
    technician, coordinator = signed_in("technician"), signed_in("coordinator")
    first = technician.get(address).content
    with CaptureQueriesContext(connection) as caught:
        assert technician.get(address).content == first
    assert not [q for q in caught.captured_queries if "checkoffs_slot" in q["sql"]]
    assert b"Marit Adeyemi" in coordinator.get(address).content
    assert b"Marit Adeyemi" not in technician.get(address).content


def test_check_in_from_the_board(world: World, signed_in: Any) -> None:
    """Arrived, and back."""
    slot, client = due_slot(world), signed_in("technician")
    address = reverse("days:check_in", kwargs={"slot": slot.pk})
    client.post(address)
    slot.refresh_from_db()
    assert slot.arrived_at is not None
    client.post(address, {"undo": "1"})
    slot.refresh_from_db()
    assert slot.arrived_at is None


def test_today_says_who_is_next(world: World, signed_in: Any) -> None:
    """The next slot not yet opened; the sheet to finish; not a colleague's slots."""
    slot = due_slot(world, minutes_ago=60)
    other = make_station(world, slot.station.day, name="Other", evaluator=world.second_evaluator)
    fill(world, other, world.fellow_student, start=noon(slot.station.day))
    client = signed_in("evaluator")
    assert client.get("/days/today/").context["next"]["slot"] == slot
    sheet = actions.open_slot(by=world.evaluator, slot=slot)
    response = client.get("/days/today/")
    assert response.context["next"] is None
    assert [line["slot"] for line in response.context["lines"]] == [slot]
    assert list(response.context["sheets"]) == [sheet]
    assert reverse("attempts:sheet", kwargs={"sheet": sheet.pk}) in response.content.decode()


def test_today_without_a_plan_offers_student_and_procedure(world: World, signed_in: Any) -> None:
    """Of the evaluator's own cohorts; the choice leads to the page that opens attempts."""
    small_version(world)
    response = signed_in("evaluator").get("/days/today/")
    text = response.content.decode()
    assert f'action="{reverse("attempts:open")}"' in text
    assert str(world.student.opaque) in text
    assert str(world.other_cohort_student.opaque) not in text
    chosen = signed_in("evaluator").get(
        reverse("attempts:open"), {"student": world.student.opaque, "version": small_version(world).pk}
    )
    assert chosen.context["choose"].is_valid()


def test_today_before_anything_is_published(world: World, signed_in: Any) -> None:
    """Says what has to happen first."""
    assert "No procedure is published yet" in signed_in("evaluator").get("/days/today/").content.decode()


def test_what_stands_in_the_way_is_said(world: World, signed_in: Any) -> None:
    """An evaluator reads why; an instructor may open it with a reason."""
    slot = due_slot(world)
    Permit.objects.create(
        student=world.student, procedure=small_version(world).procedure, may=False, because="Practice first."
    )
    address = reverse("days:open_slot", kwargs={"slot": slot.pk})
    refused = signed_in("evaluator").post(address)
    assert "Practice first." in refused.content.decode()
    assert refused.context["form"] is None
    assert signed_in("instructor").post(address).context["form"] is not None
    opened = signed_in("instructor").post(address, {"override_reason": "Practised with me."})
    assert opened.status_code == 302


def test_planning_from_form_to_board(world: World, signed_in: Any) -> None:
    """Day, station, slots: each page leads to the next; hours are those of the program."""
    client, version = signed_in("coordinator"), small_version(world)
    planned = client.post("/days/plan/", {"cohort": world.cohort.pk, "on": "2026-07-01", "title": "Hands"})
    day = Day.objects.get()
    assert planned.headers["Location"] == reverse("days:add_station", kwargs={"day": day.pk})
    client.post(
        planned.headers["Location"],
        {"name": "Station 1", "procedure": version.procedure_id, "evaluator": world.evaluator.pk},
    )
    station = day.stations.get()
    address = reverse("days:fill_station", kwargs={"station": station.pk})
    form = client.get(address).context["form"]
    assert 'type="time"' in str(form["start"])  # people/inputs.py
    assert form.initial["minutes"] == 5  # the procedure's limit of 300 seconds
    students = [m.pk for m in form.fields["students"].queryset]
    assert form.initial["students"] == students
    data = {"start": "09:00", "minutes": 5, "changeover": 10, "purpose": "summative", "students": students}
    assert client.post(address, data).status_code == 302
    assert [s.starts_at.isoformat() for s in station.slots.all()] == [
        "2026-07-01T08:00:00+00:00",  # nine o'clock British Summer Time
        "2026-07-01T08:15:00+00:00",
    ]
    again = client.post(address, data)
    assert again.context["form"].errors.keys() == {"start"}
    assert 'value="09:00"' in again.content.decode()  # what was typed stays
    assert "09:00" in board(client, day)


def test_foreign_choices_are_not_offered(world: World, signed_in: Any) -> None:
    """Another program's cohort, people and procedures are no valid choices."""
    client = signed_in("coordinator")
    response = client.post("/days/plan/", {"cohort": world.foreign_cohort.pk, "on": "2026-07-01", "title": "Hands"})
    assert response.context["form"].errors.keys() == {"cohort"}
    day = make_day(world)
    data = {"name": "S", "procedure": small_version(world).procedure_id, "evaluator": world.outsider.pk}
    address = reverse("days:add_station", kwargs={"day": day.pk})
    assert client.post(address, data).context["form"].errors.keys() == {"evaluator"}


def test_day_csv(world: World, signed_in: Any) -> None:
    """One line a slot."""
    slot = due_slot(world)
    text = signed_in("coordinator").get(reverse("days:csv", kwargs={"day": slot.station.day_id})).content.decode()
    assert len(text.splitlines()) == 2
    assert "Marit Adeyemi" in text


def test_day_list_filters(world: World, signed_in: Any) -> None:
    """Ahead by default; the past on demand; words of title or cohort."""
    make_day(world)
    Day.objects.create(cohort=world.other_cohort, date="2026-01-07", title="Long ago")
    client = signed_in("coordinator")

    def titles(query: str) -> list[str]:
        return [day.title for day in client.get(f"/days/?{query}").context["page"]]

    assert titles("") == ["Hands"]
    assert titles("when=past") == ["Long ago"]
    assert titles("when=all") == ["Hands", "Long ago"]
    assert titles("when=all&text=26-B") == ["Long ago"]


def _grow(world: World, day: Day, n: int) -> None:
    for i in range(n):
        new = add_person(by=world.coordinator, full_name=f"Quill {i}", program=world.program, role="student",
                         cohort=world.cohort, starts=world.cohort.starts)  # fmt: skip
        station = make_station(world, day, name=f"Station {Slot.objects.count()}", evaluator=world.evaluator)
        slot = Slot.objects.create(station=station, student=new, starts_at=timezone.now())
        other = add_person(by=world.coordinator, full_name=f"Opened {i}", program=world.program, role="student",
                           cohort=world.cohort, starts=world.cohort.starts)  # fmt: skip
        attempt = open_attempt(world, student=other)
        Slot.objects.create(station=station, student=other, starts_at=slot.starts_at - timezone.timedelta(hours=1),
                            attempt=attempt)  # fmt: skip
        planning.plan_day(by=world.coordinator, cohort=world.cohort, on=day.date, title=f"Day {i}")


@pytest.mark.parametrize(("kind", "address"), [
    ("evaluator", "/days/today/"), ("coordinator", "/days/"), ("coordinator", "day"), ("technician", "board"),
    ("coordinator", "csv"),
])  # fmt: skip
def test_pages_ask_no_more_for_three_rows(world: World, signed_in: Any, kind: str, address: str) -> None:
    """Constant queries."""
    day, client, counts = make_day(world), signed_in(kind), []
    if not address.startswith("/"):
        address = reverse(f"days:{address}", kwargs={"day": day.pk})
    for n in (1, 3):
        _grow(world, day, n)
        cache.clear()
        with CaptureQueriesContext(connection) as caught:
            assert client.get(address).status_code == 200
        counts.append(len(caught))
    assert counts[0] == counts[1]


def test_initials_tell_neighbours_apart() -> None:
    """First and last; one word gives one letter."""
    from checkoffs.people.models import User

    assert queries.initials(User(full_name="Marit van der Adeyemi")) == "M.A."
    assert queries.initials(User(full_name="Cher")) == "C."
