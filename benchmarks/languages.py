"""What a second language costs: builds of the demo manual in one language and in two, side by side.

    python benchmarks/languages.py        medians of five go to benchmarks/figures/languages.json

Plain shell, no cards: those lie in the cache after a first build. The goal is for editions built side by side, a core
each: two languages on two cores against one language on one. One language already spreads over every core it finds, so
two against one that has both cores is told as well; it cannot fall to the goal while each edition has its own words.
"""

from __future__ import annotations

import os
import re
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from quality import Figure, keep

ROOT = Path(__file__).resolve().parents[1]
EARLEAF = str(Path(sys.executable).with_name("earleaf"))
RUNS, GOAL = 5, 1.25


def manual(folder: Path, languages: str) -> Path:
    """The demo manual in some languages."""
    shutil.copytree(ROOT / "demo_scenario", folder / "demo_scenario")
    shutil.copytree(ROOT / "docs", folder / "docs")
    shutil.copy(ROOT / "mkdocs.yml", folder)
    path = folder / "demo_scenario/manual.yml"
    path.write_text(
        re.sub(r"^languages: .*$", f"languages: [{languages}]", path.read_text("utf-8"), flags=re.M), "utf-8"
    )
    return path


def seconds(path: Path, cores: set[int]) -> float:
    """A build, from start to end of the program, on these cores."""
    started = time.perf_counter()
    subprocess.run(
        [EARLEAF, "build", "--plain", "--no-cards", "-m", str(path), "--out", str(path.parent / "site")],
        check=True,
        stdout=subprocess.DEVNULL,
        preexec_fn=lambda: os.sched_setaffinity(0, cores),
    )
    return time.perf_counter() - started


if __name__ == "__main__":
    every = os.sched_getaffinity(0)
    with tempfile.TemporaryDirectory() as name:
        one, two = manual(Path(name) / "one", "en"), manual(Path(name) / "two", "en, es-US")
        seconds(one, every)
        taken = [(seconds(one, every), seconds(two, every), seconds(one, {min(every)})) for _ in range(RUNS)]
    single, double, narrow = (statistics.median(column) for column in zip(*taken, strict=True))
    reached = len(every) > 1 and double / narrow <= GOAL
    figures = [
        Figure("one language, one core", f"{narrow:.1f} s"),
        Figure("one language, every core", f"{single:.1f} s"),
        Figure("two languages, every core", f"{double:.1f} s"),
        Figure("two languages on every core / one on one core", f"{double / narrow:.2f}", f"at most {GOAL}", reached),
        Figure("two languages on every core / one on every core", f"{double / single:.2f}"),
    ]
    notes = [
        "The goal is for editions built side by side, a core each. One language alone takes every core it finds, so "
        "that the last line holds more than a second language: the first one had both cores.",
        "Words are most of the work, and each language has its own. Reading, checking and the data are done once.",
        "A co-operative with many languages builds each in a job of its own: see `docs/guides/large-manuals.md`.",
    ]
    keep("languages", "What a second language costs", 56, "python benchmarks/languages.py", figures, notes)
    for figure in figures:
        print(f"{figure.what}: {figure.value}")
