"""Finished paper kept between builds, under a name made from everything it depends on."""

from __future__ import annotations

import os
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

KEEP_DAYS = 60


def usual_folder() -> Path:
    """Where programs keep such things: XDG_CACHE_HOME, else ~/.cache."""
    return Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "earleaf"


class Cache:
    """A folder of finished files. Without a folder nothing is kept. A folder that cannot be written is no fault."""

    def __init__(self, folder: Path | None) -> None:
        self.folder = folder

    def get(self, name: str, make: Callable[[], bytes]) -> bytes:
        """The bytes of that name, made now if they are not there yet. What `make` raises is passed on."""
        if self.folder is None:
            return make()
        path = self.folder / name[:2] / name
        try:
            content = path.read_bytes()
            os.utime(path)
            return content
        except OSError:
            content = make()
            self._keep(path, content)
            return content

    def _keep(self, path: Path, content: bytes) -> None:
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            handle, half = tempfile.mkstemp(dir=path.parent)
        except OSError:
            self.folder = None
            return
        try:
            with open(handle, "wb") as out:
                out.write(content)
            os.replace(half, path)
        except OSError:
            Path(half).unlink(missing_ok=True)
            self.folder = None

    def tidy(self) -> None:
        """Drop what no build has asked for in a while."""
        if self.folder is None or not self.folder.is_dir():
            return
        before = time.time() - KEEP_DAYS * 86_400
        for path in self.folder.glob("*/*"):
            try:
                if path.stat().st_mtime < before:
                    path.unlink()
            except OSError:
                continue
