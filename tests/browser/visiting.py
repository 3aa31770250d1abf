"""Pages opened in a browser, each watched for what goes wrong on it."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Playwright

PHONE = {"width": 390, "height": 844}
Opener = Callable[..., "Watched"]


def find_chromium() -> str | None:
    """The browser without a window where there is one: it opens a page in a third of the time."""
    names = ("chromium-headless-shell", "chromium", "chromium-browser", "google-chrome")
    return next(filter(None, map(shutil.which, names)), None)


def launched(play: Playwright, *settings: str) -> Browser:
    """Chromium. Without one the tests are skipped, but never where CI runs them."""
    program = find_chromium()
    if program is None and not os.environ.get("CI"):
        pytest.skip("no Chromium on this machine")
    return play.chromium.launch(executable_path=program, args=["--no-sandbox", "--disable-gpu", *settings])


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
