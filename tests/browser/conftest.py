"""What browser tests stand on: real Chromium, a live server on a database file, pages signed in as a person.

Every page is watched: a script error, a console error or a violation of the content security policy fails the test,
unless the test named it with ``page_as.expect("part of the message")``.
``page.wait_for_function`` cannot be used: it needs eval, which the policy forbids. Wait on locators instead.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.test import Client
from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, Page, expect

from tests.world import World, make_world

SIZES = {"tablet": (768, 1024), "desk": (1280, 800), "phone": (360, 740)}
# Runs before any script of the page; the driver's own scripts are not subject to the policy.
WATCH_POLICY = """
addEventListener("securitypolicyviolation", e =>
  console.error(`policy: ${e.violatedDirective} ${e.blockedURI} ${e.sourceFile}:${e.lineNumber}`));
"""
expect.set_options(timeout=8_000)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Whatever lies in this folder needs Chromium and may use the database from the server's threads."""
    for item in items:
        if Path(__file__).parent in item.path.parents:
            item.add_marker(pytest.mark.browser)


@pytest.fixture(scope="session")
def browser_type_launch_args() -> dict[str, Any]:
    """Debian's Chromium, kept from calling home."""
    return {
        "executable_path": os.environ.get("CHROMIUM", "/usr/bin/chromium"),
        "args": ["--no-sandbox", "--disable-background-networking", "--disable-component-update"],
    }


@pytest.fixture(scope="session")
def django_db_modify_db_settings(tmp_path_factory: pytest.TempPathFactory) -> None:
    """A database file: threads of the live server would share one connection to a database in memory."""
    database = settings.DATABASES["default"]
    if database["ENGINE"].endswith("sqlite3"):
        database.setdefault("TEST", {})["NAME"] = str(tmp_path_factory.mktemp("database") / "browser.sqlite3")


@pytest.fixture
def world(transactional_db: None) -> World:
    """The invented college, committed, so that the live server sees it."""
    return make_world()


class PageAs:
    """``page_as("evaluator")`` opens a page signed in as that person, at tablet size unless told otherwise."""

    def __init__(self, browser: Browser, world: World, address: str) -> None:
        self._browser, self._world, self._address = browser, world, address
        self._contexts: list[BrowserContext] = []
        self._expected: list[str] = []
        self.problems: list[str] = []

    def __call__(self, kind: str, *, size: str = "tablet", **options: Any) -> Page:
        """A page in a browser context of its own; ``options`` are those of ``new_context``."""
        width, height = SIZES[size]
        options.setdefault("viewport", {"width": width, "height": height})
        context = self._browser.new_context(base_url=self._address, **options)
        context.set_default_timeout(8_000)
        context.add_init_script(WATCH_POLICY)
        self._contexts.append(context)
        if kind != "anonymous":
            self.sign_in(context, kind)
        page = context.new_page()
        self.watch(page)
        return page

    def sign_in(self, context: BrowserContext, kind: str) -> None:
        """Give the context that person's session, as a sign-in would."""
        client = Client()
        client.force_login(self._world.people[kind], backend="allauth.account.auth_backends.AuthenticationBackend")
        value = client.cookies[settings.SESSION_COOKIE_NAME].value
        context.add_cookies([{"name": settings.SESSION_COOKIE_NAME, "value": value, "url": self._address}])

    def expect(self, part: str) -> None:
        """Name a console message that belongs to the test, such as the 401 of an expired session."""
        self._expected.append(part)

    def watch(self, page: Page) -> None:
        """Collect what goes wrong in a page (a second tab, say)."""
        page.on("console", self._heard)
        page.on("pageerror", lambda error: self.problems.append(f"{page.url}: {error}"))

    def _heard(self, message: ConsoleMessage) -> None:
        if message.type == "error":
            self.problems.append(f"{message.text} ({message.location.get('url', '')})")

    def close(self) -> list[str]:
        """Close all pages; the problems nobody expected."""
        for context in self._contexts:
            context.close()
        return [text for text in self.problems if not any(part in text for part in self._expected)]


@pytest.fixture
def page_as(browser: Browser, world: World, live_server: Any) -> Iterator[PageAs]:
    """Pages by person; see PageAs."""
    pages = PageAs(browser, world, live_server.url)
    yield pages
    assert pages.close() == []


@pytest.fixture
def look(request: pytest.FixtureRequest) -> Any:
    """``look(page, "name")`` keeps a picture for the eye when STEPWITNESS_SHOTS names a folder; else does nothing."""
    folder = os.environ.get("STEPWITNESS_SHOTS")

    def take(page: Page, name: str) -> None:
        if folder:
            page.screenshot(path=Path(folder) / f"{name}.png")

    return take
