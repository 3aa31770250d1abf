"""The small manual, written out once and loaded once."""

from __future__ import annotations

from pathlib import Path

import pytest

from earleaf.database.load import Database
from earleaf.database.manual import load_manual
from small_manual import write


@pytest.fixture
def small_folder(tmp_path: Path) -> Path:
    """A fresh copy that a test may change."""
    return write(tmp_path).parent


@pytest.fixture(scope="session")
def small(tmp_path_factory: pytest.TempPathFactory) -> Database:
    """The database of the small manual; not to be changed."""
    return load_manual(write(tmp_path_factory.mktemp("small")))[1]
