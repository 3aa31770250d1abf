"""How many branches of the three rooms that decide what a page says are reached by the tests. `make coverage` runs it.

The tests are those of single modules, of faulty data and against published tables: no built site, no browser.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "generator/earleaf"
ROOMS = ("agronomy", "database", "planning")
TESTS = ("tests/unit", "tests/data", "tests/published")
LEAST = 95.0


def measured(folder: Path) -> dict[str, tuple[int, int, list[str]]]:
    """By room: branches reached, branches in all, and the places of those that are missed."""
    env = {**os.environ, "COVERAGE_FILE": str(folder / "data")}
    source = ",".join(str(PACKAGE / room) for room in ROOMS)
    run = [sys.executable, "-m", "coverage", "run", "--branch", f"--source={source}"]
    tests = ["-m", "pytest", "-m", "not slow and not browser and not whole", "-p", "no:cacheprovider", *TESTS]
    subprocess.run([*run, *tests], cwd=ROOT, env=env, check=True)
    report = folder / "report.json"
    command = [sys.executable, "-m", "coverage", "json", "--quiet", "-o", str(report)]
    subprocess.run(command, cwd=ROOT, env=env, check=True)
    return by_room(json.loads(report.read_text("utf-8"))["files"])


def by_room(files: dict[str, dict[str, object]]) -> dict[str, tuple[int, int, list[str]]]:
    """The same from what coverage says of each file."""
    out = {room: (0, 0, list[str]()) for room in ROOMS}
    for name, said in files.items():
        parts = Path(name).parts
        room = next(r for r in ROOMS if r in parts)
        summary, missing = said["summary"], said["missing_branches"]
        assert isinstance(summary, dict) and isinstance(missing, list)
        reached, every, places = out[room]
        file = "/".join(parts[parts.index(room) :])
        places += [f"{file}:{start} to {end if end > 0 else 'the end'}" for start, end in missing]
        out[room] = (reached + summary["covered_branches"], every + summary["num_branches"], places)
    return out


def main() -> int:
    """Print the figures, and what is missed where that is too much; 1 if a room falls short."""
    with tempfile.TemporaryDirectory() as folder:
        found = measured(Path(folder))
    short = False
    for room, (reached, every, places) in found.items():
        share = 100 * reached / every
        print(f"{room}: {reached} of {every} branches, {share:.1f} %")
        print("".join(f"  {place}\n" for place in places), end="")
        short |= share < LEAST
    return int(short)


if __name__ == "__main__":
    sys.exit(main())
