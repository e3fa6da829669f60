"""Opening an attempt in Chromium: by keyboard from choice to sheet; accessible in light and dark at each size."""

from __future__ import annotations

from typing import Any

from django.urls import reverse
from playwright.sync_api import expect

from checkoffs.attempts.models import Permit, Sheet
from tests.attempts.make import open_attempt, stated_version
from tests.browser.test_frame import SIZES, faults
from tests.cases.make import pump_template
from tests.world import World


def test_an_attempt_is_opened_from_choice_to_sheet(page_as: Any, world: World) -> None:
    pump_template(world, stated_version(world).procedure)
    page = page_as("evaluator")
    page.goto(reverse("attempts:open"))
    page.get_by_label("Student").select_option(label="Marit Adeyemi, H-20407")
    page.get_by_label("Procedure").select_option(index=1)
    page.get_by_role("button", name="Go on").press("Enter")
    expect(page.get_by_role("heading", name="Dopamine by pump")).to_be_visible()
    page.get_by_label("Place").fill("bay 2")
    page.get_by_role("button", name="Open the sheet").press("Enter")
    page.wait_for_url("**/attempts/sheets/**")
    sheet = Sheet.objects.get()
    assert sheet.attempt.place == "bay 2"
    assert sheet.attempt.case is not None


def test_pages_around_attempts_are_accessible_at_every_size(page_as: Any, look: Any, world: World) -> None:
    version = stated_version(world)
    pump_template(world, version.procedure)
    Permit.objects.create(
        student=world.student, procedure=version.procedure, may=False, because="Remediation is open."
    )
    sheet = open_attempt(world, evaluator=world.instructor).sheets.get()
    chosen = f"{reverse('attempts:open')}?student={world.student.opaque}&version={version.pk}"
    addresses = {
        "choose": reverse("attempts:open"),
        "open": chosen,
        "no-show": reverse("attempts:no_show"),
        "move": reverse("attempts:move", args=[sheet.attempt_id]),
        "hand-over": reverse("attempts:hand_over", args=[sheet.pk]),
    }
    page = page_as("instructor")
    for name, address in addresses.items():
        page.goto(address)
        for scheme in ("light", "dark"):
            page.emulate_media(color_scheme=scheme)
            for width, height in SIZES:
                page.set_viewport_size({"width": width, "height": height})
                assert faults(page, width) == [], (name, width, scheme)
                look(page, f"attempt-{name}-{width}-{scheme}")
