"""What the tests share: the demo manual read once and built once, and the shipped database."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from earleaf.database.load import Database, load_protocols
from earleaf.site.build import Prepared, build_plain, prepare

ROOT = Path(__file__).resolve().parents[1]
TODAY = date(2026, 11, 25)


@pytest.fixture(scope="session")
def root() -> Path:
    return ROOT


@pytest.fixture(scope="session")
def today() -> date:
    return TODAY


@pytest.fixture(scope="session")
def database() -> Database:
    """The shipped protocols, loaded without a manual."""
    return load_protocols(ROOT / "protocols", ROOT)


@pytest.fixture(scope="session")
def demo() -> Prepared:
    """The demo manual, read and checked."""
    return prepare(ROOT / "demo_scenario/manual.yml", TODAY)


@pytest.fixture(scope="session")
def built(tmp_path_factory: pytest.TempPathFactory, demo: Prepared) -> Path:
    """The plain site of the demo manual."""
    assert not demo.errors, "\n".join(str(f) for f in demo.errors)
    out = tmp_path_factory.mktemp("plain") / "site"
    build_plain(demo, out)
    return out
