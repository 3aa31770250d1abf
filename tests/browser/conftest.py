"""The built site served on this machine, and one Chromium for all browser tests."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from kinds import MANUAL
from playwright.sync_api import Browser, Playwright, sync_playwright
from serving import served
from visiting import Opener, launched, opening

from earleaf.site.build import Prepared
from earleaf.site.private import Asked, make_season


@pytest.fixture(scope="session")
def address(built: Path) -> Iterator[str]:
    """Where the built site is served."""
    with served(built) as place:
        yield place


@pytest.fixture(scope="session")
def themed_address(themed: Path) -> Iterator[str]:
    """Where the same site under the theme of the MkDocs shell is served."""
    with served(themed / "site") as place:
        yield place


@pytest.fixture(scope="session")
def own_season(tmp_path_factory: pytest.TempPathFactory, demo: Prepared) -> str:
    """The page of the demo team's own season, as a file on this machine."""
    assert demo.manual is not None
    folder, out = MANUAL.parent, tmp_path_factory.mktemp("own") / "private"
    asked = Asked(MANUAL, folder / "plantings.csv", folder / "seen.csv", out, date(2027, 6, 14))
    make_season(demo.db, demo.manual, asked)
    return (out / "index.html").as_uri()


@pytest.fixture(scope="session")
def playwright() -> Iterator[Playwright]:
    with sync_playwright() as play:
        yield play


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
