"""Fixtures for journeys: a real browser, a tablet's screen, and no error left unseen in its console."""

import os
import re
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.backend import FOLDER

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext, Page

TABLET = {"width": 1024, "height": 768}
QUIET = [
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


def chromium() -> str:
    found = os.environ.get("OPSRISK_CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")
    if not found:
        raise FileNotFoundError("chromium: not found; install it, or name its path in OPSRISK_CHROMIUM")
    return found


class Console:
    """What the browser complained about: script errors, refused resources, broken policies."""

    def __init__(self) -> None:
        self._seen: list[str] = []
        self._expected: list[str] = []

    def listen(self, context: "BrowserContext") -> None:
        context.on("console", lambda message: message.type == "error" and self._seen.append(message.text))
        context.on("weberror", lambda error: self._seen.append(str(error.error)))

    def expect(self, part: str) -> None:
        """Complaints that contain `part` belong to this journey, such as a network that was taken away."""
        self._expected.append(part)

    def unexpected(self) -> list[str]:
        return [text for text in self._seen if not any(part in text for part in self._expected)]


@pytest.fixture(scope="session")
def browser() -> Iterator["Browser"]:
    from playwright.sync_api import sync_playwright

    # Playwright's loop lives in this thread, which makes Django believe that its queries come from a coroutine.
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "1"
    root = ["--no-sandbox"] if os.geteuid() == 0 else []
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium(), args=[*QUIET, *root])
        yield browser
        browser.close()
    del os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"]


@pytest.fixture
def console() -> Console:
    return Console()


@pytest.fixture
def context(browser: "Browser", console: Console, live_server) -> Iterator["BrowserContext"]:
    """A tablet of its own: nothing stored, nobody signed in. Paths such as "/tablet/" are the live server's."""
    context = browser.new_context(base_url=live_server.url, viewport=TABLET, has_touch=True, reduced_motion="reduce")
    context.set_default_timeout(60_000)  # two runs share two cores; who passes waits no longer for it
    console.listen(context)
    yield context
    context.close()
    assert not console.unexpected(), "the browser's console shows errors"


@pytest.fixture
def picture(page: "Page", request: pytest.FixtureRequest) -> Callable[[str], None]:
    """Keeps what the page shows now, for whoever asked for pictures: `picture("after-signing")`."""

    def keep(moment: str) -> None:
        if request.config.option.pictures:
            folder = Path(request.config.option.pictures)
            folder.mkdir(parents=True, exist_ok=True)
            page.screenshot(path=folder / f"{_plain(request.node.name)}-{moment}.png", full_page=True)

    return keep


@pytest.fixture
def page(context: "BrowserContext", request: pytest.FixtureRequest) -> Iterator["Page"]:
    page = context.new_page()
    failures = request.session.testsfailed
    yield page
    failed, asked = request.session.testsfailed > failures, request.config.option.pictures
    if (failed or asked) and not page.is_closed():
        folder = request.config.stash[FOLDER] if failed else Path(asked)
        folder.mkdir(parents=True, exist_ok=True)
        page.screenshot(path=folder / f"{_plain(request.node.name)}.png", full_page=True)


def _plain(name: str) -> str:
    return re.sub(r"[^\w.-]+", "-", name.removeprefix("test_")).strip("-")
