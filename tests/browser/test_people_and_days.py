"""People, days and Today in real Chromium: accessible at every size in light and dark; the board renews itself."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import Any

import pytest
from django.core.cache import cache
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import expect

from checkoffs.days.models import Slot
from checkoffs.people.links import make_link
from tests.attempts.make import open_attempt, small_version
from tests.browser.test_frame import SIZES, faults
from tests.days.make import due_slot
from tests.world import World

ROSTER = """full_name,email,cohort,shoe size
Nan Quill,nan@x.example,26-A,39
Marit Adeyemi,student@harrowmere.example,26-A,
"""


@pytest.fixture(autouse=True)
def _no_kept_board() -> None:
    cache.clear()


def addresses(world: World) -> dict[str, list[str]]:
    """Pages by the person who opens them, with something on each."""
    slot = due_slot(world)
    attempt = open_attempt(world, student=world.fellow_student)
    Slot.objects.create(
        station=slot.station,
        student=world.fellow_student,
        starts_at=slot.starts_at - timedelta(hours=1),
        attempt=attempt,
    )
    person, station = {"person": world.student.opaque}, {"station": slot.station_id}
    membership = {"membership": world.student.memberships.get().pk}
    return {
        "administrator": [
            reverse("people:list"),
            reverse("people:list") + "?text=nobody",
            reverse("people:person", kwargs=person),
            reverse("people:add"),
            reverse("people:edit", kwargs=person),
            reverse("people:add_membership", kwargs=person),
            reverse("people:set_active", kwargs=person),
            reverse("people:new_link", kwargs=person),
            reverse("people:end_membership", kwargs=membership),
            reverse("people:import"),
            reverse("people:links"),
            reverse("people:cohorts"),
            reverse("people:add_cohort"),
            reverse("people:audit"),
        ],
        "coordinator": [
            reverse("people:extra_time", kwargs=membership),
            reverse("days:list"),
            reverse("days:list") + "?when=past",
            reverse("days:plan"),
            reverse("days:day", kwargs={"day": slot.station.day_id}),
            reverse("days:edit", kwargs={"day": slot.station.day_id}),
            reverse("days:add_station", kwargs={"day": slot.station.day_id}),
            reverse("days:edit_station", kwargs=station),
            reverse("days:remove_station", kwargs=station),
            reverse("days:fill_station", kwargs=station),
            reverse("days:move_slots", kwargs=station),
            reverse("days:remove_slot", kwargs={"slot": slot.pk}),
        ],
        "evaluator": [
            reverse("days:today"),
            reverse("days:open_slot", kwargs={"slot": slot.pk}),
            reverse("days:no_show", kwargs={"slot": slot.pk}),
        ],
        "second_instructor": [reverse("days:today")],  # nothing planned
        "technician": [reverse("days:day", kwargs={"day": slot.station.day_id})],
    }


@pytest.mark.parametrize("person", ["administrator", "coordinator", "evaluator", "second_instructor", "technician"])
def test_pages_are_accessible_at_every_size(page_as: Any, look: Any, world: World, person: str) -> None:
    page = page_as(person)
    for address in addresses(world)[person]:
        assert page.goto(address).status == 200, address
        for scheme in ("light", "dark"):
            page.emulate_media(color_scheme=scheme)
            for width, height in SIZES:
                page.set_viewport_size({"width": width, "height": height})
                assert faults(page, width) == [], (address, width, scheme)


def test_a_roster_from_paste_to_sheet_of_links(page_as: Any, world: World) -> None:
    """Keyboard and eyes only: paste, look, save, make links; the preview and the sheet are accessible too."""
    page = page_as("coordinator", size="desk")
    page.goto(reverse("people:import"))
    page.get_by_label("or the same list, pasted").fill(ROSTER)
    page.get_by_role("button", name="Show what would change").click()
    expect(page.get_by_text("Columns not used: shoe size.")).to_be_visible()
    assert faults(page, 1280) == []
    page.get_by_role("button", name="Save all 2 rows").click()
    expect(page.get_by_text("1 people added")).to_be_visible()
    page.get_by_role("button", name="Make a sheet of links").click()
    expect(page.locator(".slips li")).to_have_count(4)
    assert faults(page, 1280) == []
    page.emulate_media(media="print")
    expect(page.locator(".slips li").first).to_be_visible()
    expect(page.get_by_role("link", name="Done")).to_be_hidden()


def test_a_first_sign_in(page_as: Any, world: World) -> None:
    """The address bar holds no token by the time a page is shown."""
    link = make_link(by=world.coordinator, person=world.student, program=world.program)
    page = page_as("anonymous")
    page.goto(link.address[link.address.index("/people/") :])
    assert page.url.endswith(reverse("people:first_password"))
    assert faults(page, 360) == []
    page.locator("[name=new_password1]").fill("seven quiet lanterns")
    page.locator("[name=new_password2]").fill("seven quiet lanterns")
    page.get_by_role("button", name="Set the password and go in").click()
    expect(page.locator(".me")).to_contain_text("Marit Adeyemi")
    page_as.expect("410")
    page.goto(link.address[link.address.index("/people/") :])
    expect(page.get_by_role("heading", name="This link was used already")).to_be_visible()


def test_the_board_renews_itself_and_keeps_the_focus(page_as: Any, world: World) -> None:
    """A colleague checks somebody in; the page shows it without a reload; the focus stays on its key."""
    slot = due_slot(world)
    later = Slot.objects.create(
        station=slot.station, student=world.fellow_student, starts_at=timezone.now() + timedelta(minutes=30)
    )
    page = page_as("technician")
    page.goto(reverse("days:day", kwargs={"day": slot.station.day_id}))
    key = page.get_by_role("button", name=re.compile("Arrived.*slot 2, Station 1"))
    key.focus()
    Slot.objects.filter(pk=slot.pk).update(arrived_at=timezone.now())
    expect(page.get_by_role("row").nth(1)).to_contain_text("waiting")
    expect(key).to_be_focused()
    key.press("Enter")
    expect(page.get_by_role("row").nth(2)).to_contain_text("here")
    later.refresh_from_db()
    assert later.arrived_at is not None


def test_the_board_says_when_it_cannot_be_renewed(page_as: Any, world: World) -> None:
    """It goes on showing how things stood, and says so; and says when it is well again."""
    slot = due_slot(world)
    page = page_as("technician")
    page_as.expect("ERR_")
    page.clock.install()
    page.goto(reverse("days:day", kwargs={"day": slot.station.day_id}))
    page.context.set_offline(True)
    for _ in range(3):
        page.clock.run_for(5000)
        page.wait_for_timeout(200)
    expect(page.get_by_text("The board cannot be renewed now")).to_be_visible()
    page.context.set_offline(False)
    page.clock.run_for(5000)
    expect(page.locator("#board-said")).to_have_text("The board is up to date again.")


def test_today_tells_of_marks_left_unsent_on_this_tablet(page_as: Any, world: World) -> None:
    """Read from the store of the scoring page; a tablet that never scored gets no store by looking."""
    small_version(world)
    sheet = open_attempt(world).sheets.get()
    page = page_as("evaluator")
    page.goto(reverse("days:today"))
    expect(page.locator("[data-unsent]")).to_be_hidden()
    assert page.evaluate("indexedDB.databases().then(found => found.length)") == 0
    page.evaluate(
        """async sheet => {
          const opening = indexedDB.open("stepwitness", 1);
          opening.onupgradeneeded = () => opening.result.createObjectStore("events", { keyPath: "id" });
          const db = await new Promise(good => opening.onsuccess = () => good(opening.result));
          const write = db.transaction("events", "readwrite");
          for (const [id, sent] of [["a", 0], ["b", 0], ["c", 1]]) write
            .objectStore("events").put({ id, sheet, sent });
          await new Promise(good => write.oncomplete = good);
          db.close();
        }""",
        str(sheet.pk),
    )
    page.reload()
    expect(page.locator("[data-unsent]")).to_contain_text("2 marks unsent on this tablet")
    expect(page.locator(f'[data-sheet="{sheet.pk}"]')).to_contain_text("2 unsent on this tablet")
    expect(page.locator("[data-unsent-note]")).to_be_visible()
