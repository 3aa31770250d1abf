"""What a stranger gets and how we keep house: packages built, installed and used; style, coverage, time of the tests.

python benchmarks/suite.py install     benchmarks/figures/install.json, some minutes
python benchmarks/suite.py habits      benchmarks/figures/habits.json, about a quarter of an hour on two quiet cores
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
import xml.etree.ElementTree as ET
from collections.abc import Callable
from pathlib import Path

from quality import Figure, keep

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT / "tests/habits"))
SAID = {
    "test_the_wheel_makes_a_manual_outside_the_repository": "Wheel in a clean environment, Python {}: new, check, "
    "build in both shells, cards",
    "test_the_source_package_installs_too": "Source package: installed, new, build",
    "test_a_root_with_only_python_is_enough": "Wheel in a root folder with Python and its libraries only",
    "test_the_packages_hold_what_they_must_and_nothing_private": "Packages hold licences and data, and nothing else",
}


def ran(*words: str) -> tuple[int, float]:
    """Exit code and seconds of a command in the repository."""
    started = time.perf_counter()
    done = subprocess.run(words, cwd=ROOT, check=False)
    return done.returncode, time.perf_counter() - started


def outcomes(*tests: str) -> list[tuple[str, str, float]]:
    """Name, outcome and seconds of each test."""
    with tempfile.TemporaryDirectory() as folder:
        report = Path(folder) / "report.xml"
        ran(sys.executable, "-m", "pytest", "-p", "no:cacheprovider", f"--junitxml={report}", *tests)
        cases = ET.parse(report).iter("testcase")
        return [
            (
                case.get("name", ""),
                next((c.tag for c in case if c.tag in ("failure", "error", "skipped")), "passed"),
                float(case.get("time", 0)),
            )
            for case in cases
        ]


def install() -> None:
    """The slow tests of the packages, as figures."""
    figures = []
    for name, outcome, seconds in outcomes("-m", "slow", "tests/habits/test_install.py"):
        test, _, version = name.partition("[")
        if test in SAID:
            value = f"works ({seconds:.0f} s)" if outcome == "passed" else outcome
            reached = None if outcome == "skipped" else outcome == "passed"
            figures.append(Figure(SAID[test].format(version.rstrip("]")), value, "works", reached))
    notes = [
        "The packages are built from a copy of the source; the wheel is made from the source package.",
        "Dependencies come from the package index. After that nothing is set but HOME and one folder of programs.",
        "The bare root has no shell, no fonts, no time zones and no certificates.",
    ]
    keep("install", "Installed by a stranger", 60, "python benchmarks/suite.py install", figures, notes)


def habits() -> None:
    """Style, types, what is written down, coverage, and how long the tests take."""
    from coverage_of_rooms import LEAST, measured

    figures = [_clean("Style and format (ruff)", "make", "lint"), _clean("Types (mypy, strict)", "make", "types")]
    told = outcomes("-m", "not slow", "tests/habits")
    bad = sum(outcome in ("failure", "error") for _, outcome, _ in told)
    what = "Commands, options, rules, keys written down; spelling; licences; pinned versions: tests"
    figures.append(Figure(what, f"{len(told) - bad} of {len(told)} pass", "all", not bad))
    with tempfile.TemporaryDirectory() as folder:
        for room, (reached, every, _) in measured(Path(folder)).items():
            share = 100 * reached / every
            value = f"{reached} of {every} ({share:.1f} %)"
            figures.append(Figure(f"Branches of {room}/ that tests reach", value, f">= {LEAST:g} %", share >= LEAST))
    figures.append(_timed("make quick", 60))
    figures.append(_timed("make test", 600))
    notes = [
        "Branches are counted in the tests of single modules, of faulty data and against published tables.",
        f"Times are wall times; load of the machine when they ended: {os.getloadavg()[1]:.1f}.",
    ]
    keep("habits", "How we keep house", 70, "python benchmarks/suite.py habits", figures, notes)


def _clean(what: str, *words: str) -> Figure:
    code, _ = ran(*words)
    return Figure(what, "clean" if code == 0 else "not clean", "clean", code == 0)


def _timed(command: str, most: float) -> Figure:
    code, seconds = ran(*command.split())
    said = f"{seconds:.0f} s" + ("" if code == 0 else ", with failures")
    return Figure(f"`{command}`, {os.cpu_count()} cores", said, f"< {most:g} s", code == 0 and seconds < most)


if __name__ == "__main__":
    RUNS: dict[str, Callable[[], None]] = {"install": install, "habits": habits}
    for name in sys.argv[1:] or list(RUNS):
        RUNS[name]()
