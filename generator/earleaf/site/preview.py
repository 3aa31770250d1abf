"""The live preview: pages in the plain shell, made anew when a file changes, only where they changed.

No cards: they are printed, not previewed. Watching, serving and reloading the browser is MkDocs' own server.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from datetime import date
from functools import partial
from pathlib import Path

from mkdocs.livereload import LiveReloadServer

from ..database.manual import shipped_protocols
from ..model.finding import Finding
from .build import finished, grow, prepare
from .cards import CannotBuild
from .handouts import CropHandouts, all_handouts
from .memory import Memory
from .publish import write

LOOK = 0.1
"""Seconds between two looks at the files."""

STILL = 0.02
"""Seconds without a change before a build begins; editors write a file in several steps."""

STAYS = "not built; the pages stay as they were"


class Preview:
    """A folder that follows the manual. `tell` is handed findings, and a line on each build."""

    def __init__(
        self, manual: Path, folder: Path, tell: Callable[[list[Finding], str], None], today: Callable[[], date]
    ) -> None:
        self.manual, self.folder, self.tell, self.today = manual, folder, tell, today
        self.memory: Memory[CropHandouts] = Memory()
        self.shown: dict[str, bytes] = {}

    def build(self) -> None:
        """Bring the folder up to date. With a fault in the data it stays as it is, and the fault is told."""
        started = time.perf_counter()
        prepared = prepare(self.manual, self.today())
        if prepared.errors or prepared.manual is None:
            return self.tell(prepared.findings, STAYS)
        self.memory.next_build()
        try:
            files = finished(grow(prepared, handouts=partial(all_handouts, memory=self.memory)), keep_lists=False)
        except CannotBuild as error:
            return self.tell(list(error.findings), STAYS)
        changed = self._show(files)
        self.tell(prepared.findings, f"{changed} files changed, {time.perf_counter() - started:.2f} s")

    def _show(self, files: Mapping[str, bytes]) -> int:
        """Write what changed, take away what is gone; the number of both."""
        changed = {name: content for name, content in files.items() if self.shown.get(name) != content}
        gone = self.shown.keys() - files.keys()
        write(changed, self.folder)
        for name in gone:
            (self.folder / name).unlink()
        self.shown = dict(files)
        return len(changed) + len(gone)


def serve(preview: Preview, host: str, port: int) -> None:
    """Show the folder until the program is interrupted. Raises OSError where the address cannot be had."""
    server = LiveReloadServer(preview.build, host, port, str(preview.folder), polling_interval=LOOK)
    server.build_delay = STILL
    for folder in dict.fromkeys((preview.manual.parent.resolve(), *watched(preview))):
        server.watch(str(folder))
    try:
        server.serve()  # type: ignore[no-untyped-call]
    finally:
        server.shutdown()


def watched(preview: Preview) -> list[Path]:
    """Folders outside the manual's own whose files it uses."""
    prepared = prepare(preview.manual, preview.today())
    if prepared.manual is None:
        return [shipped_protocols()]
    manual, home = prepared.manual, preview.manual.parent
    named = [manual.protocols_folder, manual.chapters_folder, manual.languages_folder, manual.labs_folder]
    folders = [(home / name).resolve() for name in named if name]
    if not manual.protocols_folder:
        folders.append(shipped_protocols().resolve())
    return [folder for folder in folders if folder.is_dir() and home.resolve() not in (folder, *folder.parents)]
