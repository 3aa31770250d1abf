"""The built site served on this machine, and one Chromium for all browser tests."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path

import pytest
from kinds import MANUAL
from playwright.sync_api import Browser, BrowserContext, Page, Playwright, sync_playwright
from serving import served

from earleaf.site.build import Prepared
from earleaf.site.mkdocs_shell import build_mkdocs
from earleaf.site.private import Asked, make_season
from made_once import once

PHONE = {"width": 390, "height": 844}


@pytest.fixture(scope="session")
def address(built: Path) -> Iterator[str]:
    """Where the built site is served."""
    with served(built) as place:
        yield place


@pytest.fixture(scope="session")
def themed_address(tmp_path_factory: pytest.TempPathFactory, built: Path) -> Iterator[str]:
    """Where the same site under the theme of the MkDocs shell is served. Its paper was made for the plain one."""
    with served(once(tmp_path_factory, "themed", lambda out: build_mkdocs(MANUAL, out))) as place:
        yield place


@pytest.fixture(scope="session")
def own_season(tmp_path_factory: pytest.TempPathFactory, demo: Prepared) -> str:
    """The page of the demo team's own season, as a file on this machine."""
    assert demo.manual is not None
    folder, out = MANUAL.parent, tmp_path_factory.mktemp("own") / "private"
    asked = Asked(MANUAL, folder / "plantings.csv", folder / "seen.csv", out, date(2027, 6, 14))
    make_season(demo.db, demo.manual, asked)
    return (out / "index.html").as_uri()


def find_chromium() -> str | None:
    return next(
        (
            p
            for p in (
                "/usr/bin/chromium",
                shutil.which("chromium"),
                shutil.which("chromium-browser"),
                shutil.which("google-chrome"),
            )
            if p and Path(p).exists()
        ),
        None,
    )


@pytest.fixture(scope="session")
def playwright() -> Iterator[Playwright]:
    with sync_playwright() as play:
        yield play


def launched(play: Playwright, *settings: str) -> Browser:
    """Chromium. Without one the tests are skipped, but never where CI runs them."""
    program = find_chromium()
    if program is None and not os.environ.get("CI"):
        pytest.skip("no Chromium on this machine")
    return play.chromium.launch(executable_path=program, args=["--no-sandbox", "--disable-gpu", *settings])


@pytest.fixture(scope="session")
def browser(playwright: Playwright) -> Iterator[Browser]:
    chromium = launched(playwright)
    yield chromium
    chromium.close()


@pytest.fixture(scope="session")
def large_letters(playwright: Playwright) -> Iterator[Browser]:
    """Chromium whose reader has set letters twice as large: 32 px where others have 16."""
    chromium = launched(playwright, "--blink-settings=defaultFontSize=32")
    yield chromium
    chromium.close()


class Watched:
    """A page that remembers dialogs, errors of the console, failed requests and requests to other hosts."""

    def __init__(self, context: BrowserContext, address: str) -> None:
        self.page: Page = context.new_page()
        self.troubles: list[str] = []
        self.page.on("dialog", self._dialog)
        self.page.on("pageerror", lambda e: self.troubles.append(f"error {e}"))
        self.page.on(
            "console",
            lambda m: self.troubles.append(f"console {m.text}") if m.type in ("error", "warning") else None,
        )
        self.page.on(
            "request",
            lambda r: None if r.url.startswith((address, "data:")) else self.troubles.append(f"asks {r.url}"),
        )
        self.page.on(
            "response",
            lambda r: (
                self.troubles.append(f"{r.status} {r.url}")
                if r.status >= 400 and not r.url.endswith("favicon.ico")
                else None
            ),
        )

    def _dialog(self, dialog: object) -> None:
        self.troubles.append(f"dialog {dialog}")
        dialog.dismiss()  # type: ignore[attr-defined]


Opener = Callable[..., Watched]


@pytest.fixture
def open_page(browser: Browser, address: str) -> Iterator[Opener]:
    """`open_page('crops/corn/')` opens a page at phone size, or at the size asked for."""
    with opening(browser, address) as opened:
        yield opened


@pytest.fixture
def open_themed(browser: Browser, themed_address: str) -> Iterator[Opener]:
    """The same under the theme."""
    with opening(browser, themed_address) as opened:
        yield opened


@contextmanager
def opening(browser: Browser, address: str) -> Iterator[Opener]:
    """What opens pages of one site in one browser, each in a context of its own."""
    contexts: list[BrowserContext] = []

    def opened(place: str, **settings: object) -> Watched:
        contexts.append(browser.new_context(**{"viewport": PHONE, **settings}))  # type: ignore[arg-type]
        watched = Watched(contexts[-1], address)
        watched.page.set_default_timeout(10_000)
        answer = watched.page.goto(address + place, wait_until="load")
        assert answer is not None and answer.ok, f"{place}: {answer and answer.status}"
        return watched

    yield opened
    for context in contexts:
        context.close()
