"""The watch itself: a signed-in page opens without a problem, and a planted violation is noticed."""

from __future__ import annotations

from typing import Any

from playwright.sync_api import expect


def test_a_page_opens_as_a_person(page_as: Any) -> None:
    page = page_as("evaluator")
    page.goto("/help/")
    expect(page.locator("h1")).to_be_visible()


def test_the_watch_notices_script_that_the_policy_forbids(page_as: Any) -> None:
    page = page_as("evaluator")
    page.goto("/help/")
    page.evaluate("document.body.insertAdjacentHTML('beforeend', '<img src=x onerror=\"window.planted = 1\">')")
    page.wait_for_timeout(300)
    assert page.evaluate("window.planted") is None
    assert any("policy: script-src" in text for text in page_as.problems)
    page_as.expect("")  # all of it was planted
