"""The same inputs give the same bytes: elsewhere, a day later, in another zone and language, in any order of files."""

from __future__ import annotations

import os
import subprocess
import sys
import zipfile
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from other_places import can_shift_days, two_places
from tried import ROOT, Surroundings, Tree, corn_manual, difference, ended, tree

pytestmark = pytest.mark.skipif(not can_shift_days(), reason="needs faketime, for a clock that is a day ahead")

SEASON = ("season", "--plantings", "demo_scenario/plantings.csv", "--seen", "demo_scenario/seen.csv")
DEMO: dict[str, tuple[str, ...]] = {
    "plain shell": ("build", "--plain", "-m", "demo_scenario/manual.yml"),
    "MkDocs shell": ("build", "-m", "demo_scenario/manual.yml"),
    "offline copy": ("build", "--offline", "--crop", "corn", "--lab", "larkmoor", "-m", "demo_scenario/manual.yml"),
    "offline copy in Spanish": ("build", "--offline", "--language", "es", "--no-cards", "-m", "demo_scenario"),
    "own season": (*SEASON, "--today", "2027-06-14", "-m", "demo_scenario/manual.yml"),
    "cards": ("cards", "--crop", "corn", "--paper", "a4", "-m", "demo_scenario/manual.yml"),
}
ENDS = {"offline copy": ".zip", "offline copy in Spanish": ".zip", "cards": ".pdf"}


@dataclass(frozen=True)
class Compared:
    """Two builds of one thing."""

    what: str
    one: Tree
    difference: str

    @property
    def files(self) -> int:
        return len(self.one)


def compare(places: tuple[Surroundings, Surroundings], what: str, words: tuple[str, ...], name: str) -> Compared:
    """The same command in both places, at once. Paths among the words are those of the place."""
    outs = [place.program / f"{name}{ENDS.get(what, '')}" for place in places]
    running = []
    for place, out in zip(places, outs, strict=True):
        here = [str(place.program / word) if word.startswith("demo_scenario") else word for word in words]
        running.append(place.start(*here, "--out", os.path.relpath(out, place.cwd)))
    for process in running:
        ended(process)
    one, other = map(tree, outs)
    found = difference(one, other)
    if "shell" in what and not found:
        rights = [Counter(p.stat().st_mode for p in [out, *out.rglob("*")]) for out in outs]
        found = "" if rights[0] == rights[1] else f"rights differ: {rights}"
    return Compared(what, one, found)


def compare_all(folder: Path) -> Iterator[Compared]:
    """The whole demo in both places, with everything that is printed."""
    places = two_places(folder)
    for number, (what, words) in enumerate(DEMO.items()):
        yield compare(places, what, words, f"out {number}")


def test_pages_and_calendars_are_the_same_anywhere(tmp_path: Path) -> None:
    """Of a manual of one crop. Cards are compared in the slow run, and alone in tests/site/test_cards_command.py."""
    places = two_places(tmp_path)
    for place in places:
        corn_manual(place.program / "demo_scenario_corn")
    words = ("-m", "demo_scenario_corn/manual.yml")
    plain = compare(places, "plain shell", ("build", "--plain", "--no-cards", *words), "plain")
    assert not plain.difference
    kinds = Counter(name.rpartition(".")[2] for name in plain.one)
    assert {"html", "svg", "ics", "json", "xml"} <= kinds.keys()
    assert "search/search_index.json" in plain.one
    states = [(place.program / "demo_scenario_corn/feeds.json").read_bytes() for place in places]
    assert states[0] == states[1]
    lists = (word.replace("demo_scenario", "demo_scenario_corn") for word in SEASON)
    assert not compare(places, "own season", (*lists, "--today", "2027-06-14", *words), "own").difference


def test_two_trees_that_differ_are_told_with_file_and_place() -> None:
    one = {"a.html": b"same", "b.html": b"on 2026-11-25"}
    assert difference(one, dict(one)) == ""
    assert "b.html at byte 12" in difference(one, {**one, "b.html": b"on 2026-11-26"})
    assert "only in one" in difference(one, {"a.html": b"same"})


def test_the_other_place_is_another_indeed(tmp_path: Path) -> None:
    """The day, the order of files, the zone and the rights differ, or these tests say nothing."""
    code = (
        "import datetime, os, time; print(datetime.date.today().toordinal() - int(time.time() // 86400), time.tzname, "
        "oct(os.umask(0)), os.listdir('/'), os.sched_getaffinity(0), hash('a'), time.time())"
    )
    said = []
    for place in two_places(tmp_path):
        words = [*place.before, sys.executable, "-c", code]
        done = subprocess.run(
            words, env={**os.environ, **place.env}, umask=place.umask, capture_output=True, text=True, check=True
        )
        said.append(done.stdout)
    assert "0o22" in said[0] and "0o77" in said[1]
    assert float(said[1].split()[-1]) - float(said[0].split()[-1]) > 86_000
    assert said[0].split("[")[1].split("]")[0] != said[1].split("[")[1].split("]")[0], "files in the same order"


@pytest.mark.slow
def test_the_whole_demo_is_the_same_anywhere(tmp_path: Path) -> None:
    for compared in compare_all(tmp_path):
        assert not compared.difference, f"{compared.what}: {compared.difference}"


# What is installed


def make_wheel(folder: Path, umask: int, before: tuple[str, ...] = ()) -> Tree:
    """`make wheel` on a copy of the tracked files; what is in dist/."""
    names = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, check=True).stdout.decode()
    for name in filter(None, names.split("\0")):
        if (ROOT / name).is_file() and not name.startswith(("tests/", "benchmarks/", "docs/")):
            path = folder / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes((ROOT / name).read_bytes())
            path.chmod(0o666 & ~umask)
    done = subprocess.run(
        [*before, sys.executable, "-m", "build", "--no-isolation", "--outdir", "dist"],
        cwd=folder,
        env={**os.environ, "SOURCE_DATE_EPOCH": "1795640400"},
        umask=umask,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout[-2000:] + done.stderr[-2000:]
    return tree(folder / "dist")


@pytest.mark.slow
def test_wheel_and_source_archive_are_the_same_anywhere(tmp_path: Path) -> None:
    one = make_wheel(tmp_path / "one", 0o022)
    other = make_wheel(tmp_path / "another place/ñ", 0o077, ("faketime", "-f", "+1d"))
    assert not difference(one, other)
    assert sorted(name.rpartition(".")[2] for name in one) == ["gz", "whl"]
    with zipfile.ZipFile(next((tmp_path / "one/dist").glob("*.whl"))) as wheel:
        assert "earleaf/protocols/sources.yml" in wheel.namelist()
        assert {info.external_attr >> 16 & 0o777 for info in wheel.infolist()} <= {0o644, 0o664}
