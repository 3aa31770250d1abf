"""Put a tree on disk: build beside, swap in when complete. The last good site stays until then."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Mapping
from pathlib import Path

MARK = ".earleaf-site"


class NotOurs(Exception):
    """The output folder holds something that is not a site of ours."""


def publish(files: Mapping[str, bytes], target: Path, mark: str = MARK) -> None:
    """Write all files into a new folder next to `target`, then swap. Raises OSError, or NotOurs before writing.

    `mark` is the file by which the folder is known as one of ours; a folder of another kind is never replaced.
    """
    if target.exists() and not target.is_dir():
        raise NotOurs(f"{target} is a file; give the name of a folder")
    if target.exists() and any(target.iterdir()) and not (target / mark).exists():
        raise NotOurs(f"{target} holds files that Earleaf did not make; choose another --out, or empty it yourself")
    target.parent.mkdir(parents=True, exist_ok=True)
    new = Path(tempfile.mkdtemp(prefix=f".{target.name}-new-", dir=target.parent))
    try:
        write({**files, mark: b"This folder is replaced by each build.\n"}, new)
        swap(new, target)
    except BaseException:
        shutil.rmtree(new, ignore_errors=True)
        raise


def write(files: Mapping[str, bytes], folder: Path) -> None:
    """Every file below a folder; an address that would leave it is refused."""
    made: set[str] = set()
    root = str(folder)
    for name, content in files.items():
        if name.startswith("/") or ".." in name.split("/"):
            raise ValueError(f"address {name!r} leaves the site")
        path = f"{root}/{name}"
        parent = path.rsplit("/", 1)[0]
        if parent not in made:
            os.makedirs(parent, exist_ok=True)
            made.add(parent)
        with open(path, "wb") as out:
            out.write(content)


def swap(new: Path, target: Path) -> None:
    """Make `new` the target. The old one is moved aside first and put back if the move fails."""
    new.chmod(0o755)
    old = target.with_name(f".{target.name}-old-{os.getpid()}")
    if target.exists():
        target.rename(old)
    try:
        new.rename(target)
    except OSError:
        if old.exists():
            old.rename(target)
        raise
    shutil.rmtree(old, ignore_errors=True)
