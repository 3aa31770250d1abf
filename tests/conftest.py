"""What the tests share: the demo manual read once and built once, and the shipped database."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from hypothesis import settings

from earleaf.database.load import Database, load_protocols
from earleaf.site.build import Prepared, prepare
from earleaf.site.cache import usual_folder
from made_once import of_this_run, once

settings.register_profile("shared machine", deadline=None, max_examples=50)
settings.register_profile("quick", deadline=None, max_examples=15)
settings.load_profile("shared machine")
ROOT = Path(__file__).resolve().parents[1]
TODAY = date(2026, 11, 25)
WHOLE = {"built", "pages_only", "themed"}
"""Fixtures that build the demo manual."""


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark by itself each test that needs the demo manual built."""
    for item in items:
        if isinstance(item, pytest.Function) and WHOLE & {*item.fixturenames}:
            item.add_marker("whole")


@pytest.fixture(scope="session", autouse=True)
def own_cache(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """Finished paper is kept in a folder of this run, never in that of the person who runs the tests."""
    folder = of_this_run(tmp_path_factory) / "cache"
    folder.mkdir(exist_ok=True)
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CACHE_HOME", str(folder))
        yield folder


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


BUILD = """
import sys
from datetime import date
from pathlib import Path
from earleaf.site.build import build_plain, prepare
from earleaf.site.cache import Cache, usual_folder
manual, day, out, cards = sys.argv[1:]
prepared = prepare(Path(manual), date.fromisoformat(day))
build_plain(prepared, Path(out), Cache(usual_folder()) if cards == "cards" else None)
"""


def build_apart(out: Path, cards: str) -> None:
    """The plain site of the demo manual, made in a process of its own: one with threads would have one core."""
    asked = [str(ROOT / "demo_scenario/manual.yml"), TODAY.isoformat(), str(out), cards]
    subprocess.run([sys.executable, "-c", BUILD, *asked], check=True)


@pytest.fixture(scope="session")
def built(tmp_path_factory: pytest.TempPathFactory, demo: Prepared, own_cache: Path) -> Path:
    """The plain site of the demo manual, with everything that is printed."""
    assert not demo.errors, "\n".join(str(f) for f in demo.errors)
    assert usual_folder().parent == own_cache
    return once(tmp_path_factory, "plain", lambda out: build_apart(out, "cards"))


@pytest.fixture(scope="session")
def pages_only(tmp_path_factory: pytest.TempPathFactory, demo: Prepared) -> Path:
    """The same site without cards, which is built in seconds: for checks of the pages that build again."""
    assert not demo.errors, "\n".join(str(f) for f in demo.errors)
    return once(tmp_path_factory, "pages", lambda out: build_apart(out, "no cards"))


@pytest.fixture(scope="session")
def themed(tmp_path_factory: pytest.TempPathFactory, root: Path, built: Path) -> Path:
    """The same under the theme, as `mkdocs build --strict` makes it: `site`, and what the program said in `said.txt`.

    Its paper was made for the plain site.
    """

    def make(folder: Path) -> None:
        config = (root / "mkdocs.yml").read_text("utf-8")
        for old, new in (
            ("docs_dir: docs", f"docs_dir: {root / 'docs'}"),
            ("site_dir: site", f"site_dir: {folder / 'site'}"),
            ("manual: demo_scenario", f"manual: {root / 'demo_scenario'}"),
        ):
            assert config.count(old) == 1
            config = config.replace(old, new)
        folder.mkdir()
        (folder / "mkdocs.yml").write_text(config, "utf-8")
        build = [sys.executable, "-m", "mkdocs", "build", "--strict"]
        quiet = {**os.environ, "NO_MKDOCS_2_WARNING": "1"}
        done = subprocess.run(build, cwd=folder, capture_output=True, text=True, env=quiet)
        assert done.returncode == 0, done.stderr[-2000:]
        (folder / "said.txt").write_text(done.stderr, "utf-8")

    return once(tmp_path_factory, "themed", make)
