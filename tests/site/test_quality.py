"""docs/quality.md is what the runs say, not what somebody wrote."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from types import ModuleType

import pytest

from earleaf.site.chapters import read_chapters

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def quality() -> ModuleType:
    spec = importlib.util.spec_from_file_location("quality", ROOT / "benchmarks/quality.py")
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    import sys

    sys.modules["quality"] = module
    spec.loader.exec_module(module)
    return module


def test_the_page_is_made_from_the_figures(quality: ModuleType) -> None:
    assert (ROOT / "docs/quality.md").read_text("utf-8") == quality.page(), "run `make quality`"


def test_a_goal_that_was_missed_is_told(quality: ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(quality, "FIGURES", tmp_path)
    figures = [quality.Figure("a", "7", "<= 5", reached=False), quality.Figure("b", "3", "<= 5", reached=True)]
    quality.keep("one", "A run", 1, "make run", figures, ["a note"])
    rows = quality.page(tmp_path).splitlines()
    assert "| a | 7 | <= 5 | **not reached** |" in rows
    assert "| b | 3 | <= 5 | reached |" in rows


def test_the_page_is_no_chapter_of_the_manual() -> None:
    chapters, faults = read_chapters(ROOT / "docs", ROOT)
    assert not faults and "quality" not in {chapter.name for chapter in chapters}
