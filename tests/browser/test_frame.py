"""The frame in real Chromium: accessible in light and dark at every size, marks take their colour, keyboard skips."""

from __future__ import annotations

from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

SIZES = [(1280, 800), (768, 1024), (360, 740), (320, 640)]


def faults(page: Page, width: int) -> list[str]:
    """What is wider than the window; at the widest and a narrow one also what axe finds."""
    found = []
    if width in {1280, 360}:
        found = [f"{v['id']}: {v['nodes'][0]['target']}" for v in Axe().run(page).response["violations"]]
    wide = page.evaluate("document.documentElement.scrollWidth - innerWidth")
    return found + ([f"{wide} px too wide"] if wide > 0 else [])


ADDRESSES = {
    "anonymous": ["/account/login/", "/account/password/reset/"],
    "coordinator": ["/account/password/change/", "/account/logout/", "/help/", "/nothing-is-here/"],
}


@pytest.mark.parametrize("person", ADDRESSES)
def test_pages_of_the_frame_are_accessible_at_every_size(page_as: Any, look: Any, person: str) -> None:
    page_as.expect("404")
    page = page_as(person)
    for address in ADDRESSES[person]:
        page.goto(address)
        for scheme in ("light", "dark"):
            page.emulate_media(color_scheme=scheme)
            for width, height in SIZES:
                page.set_viewport_size({"width": width, "height": height})
                assert faults(page, width) == [], (address, width, scheme)
                look(page, f"frame-{address.strip('/').replace('/', '-')}-{width}-{scheme}")


def test_the_skip_link_is_the_first_stop_and_leads_to_the_content(page_as: Any) -> None:
    page = page_as("coordinator", size="desk")
    page.goto("/help/")
    page.keyboard.press("Tab")
    skip = page.locator(".skip")
    expect(skip).to_be_focused()
    expect(skip).to_be_in_viewport()
    page.keyboard.press("Enter")
    expect(page.locator("main")).to_be_focused()


def test_marks_from_the_sprite_take_the_colour_of_their_word(page_as: Any) -> None:
    """The sprite is a file of its own; the policy lets it load, and currentColor reaches into it."""
    page = page_as("anonymous", size="desk")
    page.goto("/account/login/")
    sprite = page.evaluate("document.querySelector('link[rel=icon]').href").rsplit("/", 1)[0] + "/marks.svg"
    page.evaluate(
        """sprite => { const at = document.querySelector('main'); at.innerHTML = '<p class="m-not-performed"></p>';
        const svg = document.createElementNS('http://www.w3.org/2000/svg', 'svg');
        svg.setAttribute('width', 48); svg.setAttribute('height', 48); svg.id = 'mark';
        const use = document.createElementNS('http://www.w3.org/2000/svg', 'use');
        use.setAttribute('href', sprite + '#m-not-performed'); svg.append(use); at.firstChild.append(svg); }""",
        sprite,
    )
    page.wait_for_timeout(300)
    picture = page.locator("#mark").screenshot()
    assert _has_colour(picture, (0xA8, 0x3A, 0x00))


def _has_colour(png: bytes, colour: tuple[int, int, int]) -> bool:
    from io import BytesIO

    from PIL import Image

    return colour in {pixel[:3] for _, pixel in Image.open(BytesIO(png)).convert("RGB").getcolors(1 << 16) or []}
