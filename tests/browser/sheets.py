"""Opened sheets for browser tests: the demo's continuous infusion with a fixed case, and a driver for the page."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from django.urls import reverse
from playwright.sync_api import Locator, Page, expect

import calculators
from checkoffs.attempts.models import Sheet
from checkoffs.cases.drawing import with_values
from checkoffs.cases.models import CaseTemplate, DrawnCase
from checkoffs.procedures.content import completed, numbered_steps
from checkoffs.procedures.models import Procedure, ProcedureVersion
from tests.attempts.make import open_attempt
from tests.world import World

DEMO = Path(__file__).parents[2] / "fixtures" / "demo"
NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
# 5 mcg/kg/min for 154 lb = 70 kg, 400 mg in 250 mL: 13.125 mL/h; 154 taken as kilograms gives 28.875 mL/h.
VALUES = {"dose": "5 mcg/kg/min", "weight": "154 lb", "drug_amount": "400 mg", "volume": "250 mL", "reserve": "30 mL"}


def infusion_sheet(world: World, *, section_limit: str = "record") -> Sheet:
    """A sheet of the evaluator for Marit, with the demo's 36 steps and the case above.

    ``section_limit``: what reaching the limit of section D means.
    """
    content = completed(json.loads((DEMO / "procedures" / "continuous-infusion.json").read_text()))
    content["rule"]["limits"][1]["on_reaching"] = section_limit
    document = json.loads((DEMO / "cases" / "continuous-infusion.json").read_text())
    procedure = Procedure.objects.create(program=world.program, title=content["title"], created_by=world.instructor)
    version = ProcedureVersion.objects.create(
        procedure=procedure, number=3, content=content, digest="0" * 64, published_by=world.instructor,
        published_at=NOW,
    )  # fmt: skip
    template = CaseTemplate.objects.create(
        procedure=procedure, title=document["title"], content=document, updated_by=world.instructor
    )
    drawn = with_values(document, VALUES)
    case = DrawnCase.objects.create(
        template=template, template_revision=1, seed=1, content=drawn.content, answer_key=drawn.answer_key,
        calculators=calculators.VERSION, drawn_at=NOW,
    )  # fmt: skip
    attempt = open_attempt(world, version=version, case=case, number=2, place="Station 4")
    return attempt.sheets.get()


class SheetPage:
    """What an evaluator's hands do on the page."""

    def __init__(self, page: Page, sheet: Sheet) -> None:
        self.page, self.sheet = page, sheet
        content = sheet.attempt.version.content
        self.ids = {step.number: step.step["id"] for step in numbered_steps(content)}

    def open(self) -> SheetPage:
        """Go to the sheet, whatever state it is in."""
        self.page.goto(reverse("attempts:sheet", args=[self.sheet.pk]))
        expect(self.page.locator(".fi:visible, .sc:visible").first).to_be_visible()
        return self

    def start(self) -> SheetPage:
        """Confirm who it is, start the clock."""
        self.page.get_by_role("button", name="badge or card seen").click()
        self.page.get_by_role("button", name="Start the clock").click()
        expect(self.page.locator(".sc")).to_be_visible()
        return self

    def row(self, number: int) -> Locator:
        """The row of a step."""
        return self.page.locator(f'[id="s-{self.ids[number]}"]')

    def touch(self, number: int) -> None:
        """One touch on the row."""
        self.row(number).locator(".go").click()

    def mark(self, number: int, word: str) -> None:
        """The corner, then another mark."""
        self.row(number).locator(".ear").click()
        self.page.locator(".drawer").get_by_text(word, exact=True).click()

    def state(self, number: int, word: str) -> None:
        """Expect the row to say the word."""
        expect(self.row(number).locator(".wd")).to_contain_text(word)

    def say(self, check: str, number: str, unit: str) -> None:
        """Record a stated value."""
        self.page.locator(".val").click()
        self.page.locator(".sv-tabs").get_by_role("button", name=check).click()
        for digit in number:
            self.page.locator(".pad").get_by_text(digit, exact=True).click()
        self.page.locator(".units").get_by_role("button", name=unit, exact=True).click()
        self.page.get_by_role("button", name="Record as said").click()
        expect(self.page.locator(".sc")).to_be_visible()

    def finish(self) -> None:
        """Finish, at the end of the list."""
        self.page.locator(".endrow").click()
        expect(self.page.get_by_text("Finish, 1 of 2: settle")).to_be_visible()

    def all_arrived(self) -> None:
        """Wait until the page says that the server has everything; it says so a moment after the touch."""
        self.page.wait_for_timeout(250)
        expect(self.page.locator(".kept")).to_contain_text("have reached the server")

    def kept_events(self) -> list[dict[str, Any]]:
        """Every event record in the tablet's own storage."""
        return self.page.evaluate(
            """() => new Promise((good, bad) => {
              const open = indexedDB.open("stepwitness");
              open.onerror = () => bad(open.error);
              open.onsuccess = () => {
                const all = open.result.transaction("events").objectStore("events").getAll();
                all.onsuccess = () => { open.result.close(); good(all.result); };
              };
            })"""
        )

    def stored(self) -> list[Any]:
        """The server's events of the sheet, in their order."""
        return list(self.sheet.events.order_by("at_ms", "seq"))
