"""What the tests of this folder share: manuals to build, the command in a process of its own, and trees of bytes."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import small_manual

ROOT = Path(__file__).resolve().parents[2]
PROGRAM = ("generator", "protocols", "demo_scenario", "docs", "mkdocs.yml")
CORN = """\
title: Corn in the valley
team: Wrenfold Crop Advice (invented)
invented: true
site_url: https://manual.wrenfold.example/
edition: {edition}
crops: [corn]
labs: [larkmoor]
labs_folder: labs
sources_file: sources.yml
chapters_folder: docs
feeds_file: feeds.json
regions:
  - region: valley-floor
    name: Valley floor
    weather: weather/valley-floor.csv
    longitude: -92.6
    time_zone: America/Chicago
    season: 2027
    plantings: {{corn: [{planted}]}}
"""
EDITIONS = (("2026-11-25", '"04-20", "05-05"'), ("2026-12-01", '"04-20"'), ("2026-12-02", '"04-20", "05-05", "05-20"'))
"""Three editions of the manual of corn: a planting is dropped and comes back, so that numbers of its calendar grow."""

Tree = dict[str, bytes]
"""Bytes by address; an empty address for a file that was read by itself."""


def corn_manual(folder: Path, edition: int = 0) -> Path:
    """A manual of one crop, one lab and one region, with a calendar that remembers, for both shells."""
    shutil.copytree(ROOT / "demo_scenario", folder)
    for name in ("plantings.csv", "seen.csv"):
        head, *rows = (folder / name).read_text("utf-8").splitlines(keepends=True)
        ours = [row for row in rows if row.startswith("otter-1,")]
        (folder / name).write_text("".join([head, *ours]), "utf-8")
    (folder / "docs").mkdir()
    (folder / "docs/index.md").write_text("# Start here\n\nPick your crop.\n", "utf-8")
    return corn_edition(folder, edition)


def corn_edition(folder: Path, edition: int) -> Path:
    """Another edition of the same manual; the path of its manual.yml."""
    day, planted = EDITIONS[edition]
    (folder / "manual.yml").write_text(CORN.format(edition=day, planted=planted), "utf-8")
    _shell(folder)
    return folder / "manual.yml"


def small_edition(folder: Path, edition: int) -> Path:
    """The small manual, with another line in its chapter for each edition."""
    path = small_manual.write(folder)
    with (folder / "docs/index.md").open("a", encoding="utf-8") as chapter:
        chapter.write(f"\nThis is number {['one', 'two', 'three'][edition]}.\n")
    _shell(folder)
    return path


def _shell(folder: Path) -> None:
    config = (ROOT / "mkdocs.yml").read_text("utf-8")
    assert config.count("manual: demo_scenario/manual.yml") == 1
    (folder / "mkdocs.yml").write_text(config.replace("manual: demo_scenario/", "manual: "), "utf-8")


@dataclass(frozen=True)
class Surroundings:
    """Everything round a build that must not matter."""

    cwd: Path
    cache: Path
    program: Path = ROOT
    env: dict[str, str] = field(default_factory=dict)
    before: tuple[str, ...] = ()
    umask: int = 0o022

    def start(self, *words: str | Path) -> subprocess.Popen[str]:
        """The command, as the leader of a group of its own."""
        path = f"{self.env.get('PYTHONPATH', '')}{os.pathsep}{self.program / 'generator'}".lstrip(os.pathsep)
        env = {"XDG_CACHE_HOME": str(self.cache), "NO_MKDOCS_2_WARNING": "1", **self.env, "PYTHONPATH": path}
        return subprocess.Popen(
            [*self.before, sys.executable, "-m", "earleaf.cli", *map(str, words)],
            cwd=self.cwd,
            env={**os.environ, **env},
            umask=self.umask,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            encoding="utf-8",
            errors="replace",
            start_new_session=True,
        )

    def run(self, *words: str | Path, code: int = 0) -> str:
        """The command to its end; what it said. Its exit code must be `code`."""
        return ended(self.start(*words), code)


def ended(process: Any, code: int = 0) -> str:
    """What a process said until its end. Its exit code must be `code`."""
    said = "".join(process.communicate(timeout=3600))
    assert process.returncode == code, f"exit code {process.returncode}\n{said}"
    return said


def kill(process: Any) -> None:
    """SIGKILL for the whole group, as when a machine is shut off."""
    with suppress(ProcessLookupError):
        os.killpg(process.pid, signal.SIGKILL)
    process.communicate()


def tree(path: Path) -> Tree:
    """Every file below a folder by address, or one file."""
    if path.is_file():
        return {"": path.read_bytes()}
    return {p.relative_to(path).as_posix(): p.read_bytes() for p in path.rglob("*") if p.is_file()}


def beside(path: Path) -> list[str]:
    """What else lies in the folder of a target."""
    return sorted(p.name for p in path.parent.iterdir() if p != path)


def difference(one: Tree, other: Tree) -> str:
    """The first difference of two trees in words; nothing for equal ones."""
    if only := sorted(one.keys() ^ other.keys()):
        return f"{len(only)} files only in one of them, such as {only[0]}"
    differ = [name for name in sorted(one) if one[name] != other[name]]
    if not differ:
        return ""
    a, b = one[differ[0]], other[differ[0]]
    at = next((i for i, (x, y) in enumerate(zip(a, b, strict=False)) if x != y), min(len(a), len(b)))
    first = f"{differ[0]} at byte {at}: {a[max(0, at - 40) : at + 40]!r} and {b[max(0, at - 40) : at + 40]!r}"
    return f"{len(differ)} of {len(one)} files differ; first {first}"
