"""What a student does after an attempt, in real Chromium; the pages are accessible at three sizes, light and dark."""

from __future__ import annotations

import re
from typing import Any

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from checkoffs.attempts.models import Permit
from checkoffs.review.models import Acknowledgement, OpenTask
from tests.records.make import sealed_infusion
from tests.review.make import teaching_infusion
from tests.world import World

SIZES = [(1280, 800), (768, 1024), (360, 740)]


def faults(page: Page) -> list[str]:
    """What axe finds, and what is wider than the window."""
    found = [f"{v['id']}: {v['nodes'][0]['target']}" for v in Axe().run(page).response["violations"]]
    wide = page.evaluate("document.documentElement.scrollWidth - innerWidth")
    return found + ([f"{wide} px too wide"] if wide > 0 else [])


def look_around(page: Page, look: Any, address: str, name: str) -> None:
    """Open a page and hold it to all sizes in light and dark."""
    page.goto(address)
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        for width, height in SIZES:
            page.set_viewport_size({"width": width, "height": height})
            assert faults(page) == [], (address, width, scheme)
            look(page, f"{name}-{width}-{scheme}")


def test_pages_are_accessible_at_every_size(world: World, page_as: Any, look: Any) -> None:
    teaching_infusion(world)
    leaf = sealed_infusion(world)
    page = page_as("student")
    look_around(page, look, f"/review/attempt/{leaf.attempt_id}/", "review")
    look_around(page, look, "/review/", "mine")
    look_around(page_as("instructor"), look, "/review/tasks/", "tasks")


def test_student_reads_acknowledges_does_and_instructor_confirms(world: World, page_as: Any) -> None:
    teaching_infusion(world)
    leaf = sealed_infusion(world)
    page = page_as("student", size="phone")
    page.goto("/review/")
    page.get_by_role("link", name="1, Wed 14 Oct 2026").click()
    expect(page.locator("h1")).to_have_text("Unsatisfactory")
    expect(page.get_by_text("Likely slip: pounds taken as kilograms").first).to_be_visible()
    expect(page.get_by_text("Fresh swab, hub held up")).to_be_visible()
    page.get_by_label("Your words (may stay empty)").fill("I read it.")
    page.get_by_role("button", name="I have seen this").click()
    expect(page.get_by_text("You have seen this record")).to_be_visible()
    assert Acknowledgement.objects.get(leaf=leaf).statement == "I read it."
    page.get_by_role("button", name=re.compile("Mark as done.*Practise step 24")).click()
    expect(page.get_by_text("to be confirmed").first).to_be_visible()

    instructor = page_as("instructor")
    instructor.goto("/review/tasks/?state=done")
    while OpenTask.objects.filter(required=True, confirmed_by=None).exists():
        instructor.goto("/review/tasks/")
        instructor.get_by_role("button", name="Confirm").first.click()
        expect(instructor.get_by_text("is confirmed.")).to_be_visible()
    assert Permit.objects.get(student=world.student).may
