"""The coordinator's pages in real Chromium: accessible at three sizes; one procedure on narrow pages; exports."""

from __future__ import annotations

import zipfile
from typing import Any

from playwright.sync_api import expect

from tests.browser.test_review import look_around
from tests.records.make import version_of
from tests.reports import make
from tests.world import World


def test_pages_are_accessible_at_every_size(world: World, page_as: Any, look: Any) -> None:
    make.cohort(world, 10)
    make.no_show(world, world.fellow_student)
    page = page_as("coordinator")
    cohort = f"/reports/cohort/{world.cohort.pk}/"
    look_around(page, look, "/reports/", "cohorts")
    look_around(page, look, cohort, "cohort")
    look_around(page, look, f"{cohort}procedure/{version_of(world).procedure_id}/", "procedure")
    look_around(page, look, f"{cohort}exports/", "exports")


def test_wide_pages_show_the_table_and_narrow_ones_one_procedure(world: World, page_as: Any) -> None:
    make.cohort(world, 1)
    page = page_as("coordinator", size="desk")
    page.goto(f"/reports/cohort/{world.cohort.pk}/")
    expect(page.get_by_role("region", name="People and procedures")).to_be_visible()
    page.set_viewport_size({"width": 768, "height": 1024})
    expect(page.get_by_role("region", name="People and procedures")).to_be_hidden()
    expect(page.get_by_role("region", name="Start a weight-based")).to_be_visible()
    page.get_by_role("link", name="All as one table").click()
    expect(page.get_by_role("region", name="People and procedures")).to_be_visible()


def test_records_are_asked_for_made_and_saved(world: World, page_as: Any, tmp_path: Any) -> None:
    leaf = make.passed(world)
    page = page_as("coordinator")
    page.goto(f"/reports/cohort/{world.cohort.pk}/exports/")
    page.get_by_role("button", name="Make Records").click()
    with page.expect_download() as saved:
        page.get_by_role("link", name="Save Records").click()
    file = tmp_path / "records.zip"
    saved.value.save_as(file)
    with zipfile.ZipFile(file) as archive:
        assert archive.read(f"records/{leaf.code}.pdf") == bytes(leaf.pdf.data)
