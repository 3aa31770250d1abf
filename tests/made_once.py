"""Folders that are made once in a run of the tests, however many workers it has."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest
from filelock import FileLock


def of_this_run(factory: pytest.TempPathFactory) -> Path:
    """A folder of this run: the same one for all its workers."""
    folder = factory.getbasetemp()
    return folder.parent if "PYTEST_XDIST_WORKER" in os.environ else folder


def once(factory: pytest.TempPathFactory, name: str, make: Callable[[Path], object]) -> Path:
    """A folder that one worker makes, while the others wait; only for tests that read in it."""
    out = of_this_run(factory) / name
    done = out.with_suffix(".done")
    with FileLock(out.with_suffix(".lock")):
        if not done.exists():
            make(out)
            done.touch()
    return out
