"""Editions are written by workers, side by side: one that fails, or a build that is killed alone, spoils nothing."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from datetime import date
from pathlib import Path

import pytest
from tried import Tree, beside, difference, tree

from pseudo_language import CODE, second_language
from small_manual import write

BUILD = """
import os, sys, threading
from earleaf import cli
from earleaf.site import build as site_build

os.cpu_count = lambda: 2
whole, first, asked, words = site_build.write, os.getpid(), sys.argv[1], sys.argv[2:]

def half(files, folder):
    whole(dict(list(files.items())[: len(files) // 2]), folder)
    if os.getpid() != first and any(name.startswith("{code}/") for name in files):
        if asked == "full":
            raise OSError(28, "No space left on device")
        os.write(1, b"half" + os.linesep.encode())
        threading.Event().wait(60)

if asked != "well":
    site_build.write = half
sys.exit(cli.main(["build", "--plain", "--no-cards", *words]))
""".replace("{code}", CODE)


class Site:
    """A manual in two languages, and its site."""

    def __init__(self, folder: Path) -> None:
        self.manual, self.out = write(folder / "manual"), folder / "www/site"
        assert not second_language(self.manual, date(2026, 11, 25)).errors

    def start(self, how: str) -> subprocess.Popen[str]:
        words = [sys.executable, "-c", BUILD, how, "-m", str(self.manual), "--out", str(self.out)]
        return subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)

    def build(self) -> Tree:
        process = self.start("well")
        _, told = process.communicate(timeout=60)
        assert process.returncode == 0, told
        return tree(self.out)

    def rename_team(self) -> None:
        text = self.manual.read_text("utf-8")
        assert text.count("team: Fernhollow Scouts") == 1
        self.manual.write_text(text.replace("team: Fernhollow Scouts", "team: Fernhollow Walkers"), "utf-8")


@pytest.fixture
def site(tmp_path: Path) -> Site:
    return Site(tmp_path)


def test_a_disk_that_is_full_for_one_edition_leaves_the_old_site(site: Site) -> None:
    old = site.build()
    assert f"{CODE}/index.html" in old and "index.html" in old
    site.rename_team()
    process = site.start("full")
    _, told = process.communicate(timeout=60)
    assert process.returncode == 3
    assert told.count("\n") == 1 and told.startswith("earleaf: not built") and "disk is full" in told
    assert not difference(old, tree(site.out)) and not beside(site.out)


def test_a_build_that_is_killed_alone_while_its_editions_are_written_leaves_the_old_site(site: Site) -> None:
    """Its workers end by themselves; the next build then clears away what they left."""
    old = site.build()
    site.rename_team()
    process = site.start("wait")
    assert process.stdout is not None and process.stdout.readline() == "half\n"
    os.kill(process.pid, signal.SIGKILL)
    process.communicate(timeout=60)  # the pipe is closed only when the last worker is gone
    assert not difference(old, tree(site.out)) and beside(site.out)
    until = time.monotonic() + 10
    new = site.build()
    while beside(site.out) and time.monotonic() < until:
        new = site.build()
    assert difference(old, new) and not beside(site.out)
