"""One at a time: a lock on a folder that ends with its holder, in whatever way that one ends.

The lock is the system's own, on the folder itself: no file is left beside it, and one who was killed holds nothing.
Where there are no such locks (Windows, some network drives) everyone goes on without.
"""

from __future__ import annotations

import errno
import os
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

try:
    import fcntl
except ImportError:  # Windows
    fcntl = None  # type: ignore[assignment]

WAIT_S = 60.0
_HELD_BY_OTHERS = (errno.EWOULDBLOCK, errno.EAGAIN, errno.EACCES)
_mine: set[tuple[int, int]] = set()


class Busy(OSError):
    """Another build holds a place for long, or has changed it since this one looked."""


@contextmanager
def alone(folder: Path, wait_s: float | None = None) -> Iterator[None]:
    """The body runs while no other process is in such a body for this folder; one inside another is fine.

    Raises Busy if others are still there after `wait_s` seconds (none: WAIT_S), and OSError for no such folder.
    """
    number = _open(folder)
    if number is None:
        yield
        return
    try:
        found = os.fstat(number)
        which = (found.st_dev, found.st_ino)
        if which in _mine:
            yield
            return
        _wait(number, folder, time.monotonic() + (WAIT_S if wait_s is None else wait_s))
        _mine.add(which)
        try:
            yield
        finally:
            _mine.discard(which)
    finally:
        os.close(number)


def _wait(number: int, folder: Path, until: float) -> None:
    while _lock(number) is False:
        if time.monotonic() > until:
            raise Busy(f"another build is still publishing into {folder}; wait for its end, then build again")
        time.sleep(0.05)


@contextmanager
def claimed(folder: Path) -> Iterator[None]:
    """While the body runs, `is_free` of this folder is false for everyone else."""
    number = _open(folder)
    if number is None:
        yield
        return
    try:
        _lock(number)
        yield
    finally:
        os.close(number)


def is_free(folder: Path) -> bool:
    """Whether nobody alive claims the folder; false where that cannot be known."""
    try:
        number = _open(folder)
    except OSError:
        return False
    if number is None:
        return False
    try:
        return _lock(number) is True
    finally:
        os.close(number)


def _open(folder: Path) -> int | None:
    return None if fcntl is None else os.open(folder, os.O_RDONLY)


def _lock(number: int) -> bool | None:
    """Whether the lock is ours now; None where the drive has no locks."""
    try:
        fcntl.flock(number, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as error:
        return False if error.errno in _HELD_BY_OTHERS else None
    return True
