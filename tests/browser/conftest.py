"""The built site served on this machine, and one Chromium for all browser tests."""

from __future__ import annotations

import os
import shutil
import threading
from collections.abc import Callable, Iterator
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

PHONE = {"width": 390, "height": 844}


class Quiet(SimpleHTTPRequestHandler):
    """A file server that writes no log."""

    def log_message(self, format: str, *args: object) -> None:
        pass


@pytest.fixture(scope="session")
def address(built: Path) -> Iterator[str]:
    """Where the built site is served, with a slash at the end."""
    server = ThreadingHTTPServer(("127.0.0.1", 0), partial(Quiet, directory=str(built)))
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{server.server_address[1]}/"
    server.shutdown()
    server.server_close()


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
def browser() -> Iterator[Browser]:
    """Chromium. Without one the tests are skipped, but never where CI runs them."""
    program = find_chromium()
    if program is None and not os.environ.get("CI"):
        pytest.skip("no Chromium on this machine")
    with sync_playwright() as play:
        chromium = play.chromium.launch(executable_path=program, args=["--no-sandbox", "--disable-gpu"])
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
    contexts: list[BrowserContext] = []

    def opened(place: str, **settings: object) -> Watched:
        contexts.append(browser.new_context(**{"viewport": PHONE, **settings}))  # type: ignore[arg-type]
        watched = Watched(contexts[-1], address)
        watched.page.set_default_timeout(10_000)
        watched.page.goto(address + place, wait_until="load")
        return watched

    yield opened
    for context in contexts:
        context.close()
