"""How time, memory and size grow with crops, labs and languages, and where one machine stops being enough.

    python benchmarks/growth.py               50, 200, 1,000 crops x 1, 5, 20 labs x 1, 2, 4 languages; keeps the figures
    python benchmarks/growth.py --most 3000   only sizes of up to so many pages; keeps nothing

Each manual is invented from the shipped database: crops multiplied with ids, short ids, evidence rows, planting dates and
old names of their own, labs multiplied with what the demo's labs want otherwise, languages that are copies of the Spanish
catalogue. `earleaf check` must find nothing wrong with it. Each build is a process of its own: seconds of all its
processes (the machine may be shared, so these count, not those on the wall), and the peak of their memory.

Sizes come in growing order. One that would pass MINUTES or GIGABYTES by what the last runs say is not run, and told so.
Never a timed test.
"""

from __future__ import annotations

import argparse
import csv
import io
import json
import math
import os
import re
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass
from itertools import product
from pathlib import Path
from typing import Any

import yaml

from earleaf.database.po_files import Entry, read_sentences, write_sentences

ROOT = Path(__file__).resolve().parents[1]
DEMO, SHIPPED = ROOT / "demo_scenario", ROOT / "protocols"
CROPS, LABS, LANGUAGES = (50, 200, 1000), (1, 5, 20), (1, 2, 4)
BASE, PLANTED = 50, 8
"""Crops that are multiplied, and how many of them have a calendar: as in the demo, about one in seven."""
DRAWN_BY_NAME = ("almond", "blackberry", "cranberry", "pecan", "raspberry", "tomato", "walnut")
"""Crops whose parts are drawn only under their own id, so they cannot be multiplied."""
OLD_NAMES = 5
"""One crop in so many had another name before."""
MINUTES, GIGABYTES = 12, 16
GOAL = 1.05
COPIES = ("es", "qab", "qac", "qad", "qae")
LETTERS = "abcdefghijklmnopqrstuvwxyz23456789"
SAMPLE_EVERY = 0.2


# The invented manual


def invent(folder: Path, crops: int, labs: int, languages: int) -> Path:
    """A manual of that size below a folder; the path of its manual.yml."""
    demo = yaml.safe_load((DEMO / "manual.yml").read_text("utf-8"))
    shutil.copytree(SHIPPED, folder / "protocols", ignore=shutil.ignore_patterns("crops", "published-ids.txt", "evidence"))
    chosen = _chosen(demo["regions"])
    names = {crop: [_copied(crop, n) for n in range(1, 1 + _copies(crops, i))] for i, crop in enumerate(chosen)}
    _crops(folder / "protocols/crops", names)
    for table in sorted((SHIPPED / "evidence").glob("*.csv")):
        _rows(table, folder / "protocols/evidence" / table.name, names)
    tags = ["en", *COPIES[: languages - 1]]
    manual = {**demo, "languages": tags, "protocols_folder": "protocols", "chapters_folder": "docs"}
    manual["labs"] = _labs(folder / "labs", demo["labs"], labs, names)
    manual["regions"] = [_region(region, names) for region in demo["regions"]]
    shutil.copytree(DEMO / "weather", folder / "weather")
    shutil.copy(DEMO / "sources.yml", folder)
    shutil.copytree(ROOT / "docs", folder / "docs", ignore=lambda _, found: [f for f in found if not f.endswith(".md")])
    for tag in tags[1:]:
        _language(folder, tag, names)
    (folder / "manual.yml").write_text(_dumped(manual), "utf-8")
    return folder / "manual.yml"


class _Plain(yaml.SafeDumper):
    """Writes a value that is there twice out twice; the program takes no anchors."""

    def ignore_aliases(self, data: Any) -> bool:
        return True


def _dumped(value: Any) -> str:
    return str(yaml.dump(value, Dumper=_Plain, sort_keys=False, allow_unicode=True))


def _chosen(regions: Sequence[dict[str, Any]]) -> list[str]:
    """The crops that are multiplied: evenly out of those with a calendar and out of the others."""
    every = sorted({path.stem for path in (SHIPPED / "crops").glob("*.yml")} - set(DRAWN_BY_NAME))
    planted = {name.split("/")[0] for region in regions for name in region["plantings"]}
    sets = ((PLANTED, [c for c in every if c in planted]), (BASE - PLANTED, [c for c in every if c not in planted]))
    return sorted(some[i * len(some) // count] for count, some in sets for i in range(count))


def _copies(crops: int, i: int) -> int:
    return crops // BASE + (i < crops % BASE)


def _copied(crop: str, n: int) -> str:
    return crop if n == 1 else f"{crop}-{n}"


def _crops(folder: Path, names: dict[str, list[str]]) -> None:
    folder.mkdir(parents=True)
    short = (a + b + c + d for a, b, c, d in product(LETTERS, repeat=4))
    for i, (crop, copies) in enumerate(names.items()):
        text = (SHIPPED / f"crops/{crop}.yml").read_text("utf-8")
        for n, copy in enumerate(copies, 1):
            new = _own_rows(text, crop, copy)
            new = re.sub(r"(?m)^crop: .*$", f"crop: {copy}", new)
            if n > 1:
                new = re.sub(r"(?m)^name: (.*)$", rf"name: \1 {n}", new)
                new = re.sub(r"(?m)^( *(?:- )?model: )(.*)$", rf"\1\2-{n}", new)
            if i % OLD_NAMES == 0:
                new += f"aliases: [old-{copy}]\n"
            new = re.sub(r"(?m)^( +short_id:) .*$", lambda m: f"{m[1]} '{next(short)}'", new)
            (folder / f"{copy}.yml").write_text(new, "utf-8")


def _own_rows(text: str, crop: str, copy: str) -> str:
    return re.sub(rf"(?<![\w.-]){re.escape(crop)}(?=\.[a-z0-9-]+\.[a-z0-9]+)", copy, text)


def _rows(table: Path, out: Path, names: dict[str, list[str]]) -> None:
    """The rows of the crops, again for each copy; rows of other crops are left out."""
    read = csv.DictReader(io.StringIO(table.read_text("utf-8")))
    assert read.fieldnames is not None
    out.parent.mkdir(exist_ok=True)
    with out.open("w", encoding="utf-8", newline="") as file:
        write = csv.DictWriter(file, read.fieldnames, lineterminator="\n")
        write.writeheader()
        for row in read:
            crop = row.get("crop", "any-crop")
            for copy in names.get(crop, [crop] if crop == "any-crop" else []):
                again = {"crop": copy, "row": _own_rows(row["row"], crop, copy)} if "crop" in row else {}
                write.writerow({**row, **again})


def _labs(folder: Path, originals: Sequence[str], labs: int, names: dict[str, list[str]]) -> list[str]:
    folder.mkdir()
    made = []
    for i in range(labs):
        lab, n = originals[i % len(originals)], 1 + i // len(originals)
        read = yaml.safe_load((DEMO / f"labs/{lab}.yml").read_text("utf-8"))
        wants = [{**want, "crop": copy} for want in read["protocols"] for copy in names.get(want["crop"], ())]
        made.append(_copied(lab, n))
        read |= {"lab": made[-1], "name": read["name"] if n == 1 else f"{read['name']} {n}", "protocols": wants}
        (folder / f"{made[-1]}.yml").write_text(_dumped(read), "utf-8")
    return made


def _region(region: dict[str, Any], names: dict[str, list[str]]) -> dict[str, Any]:
    """The region with the same days for each copy of a crop."""
    out = dict(region)
    for key in ("plantings", "decide_by"):
        if key in region:
            out[key] = {}
            for name, value in region[key].items():
                crop, slash, rest = name.partition("/")
                for copy in names.get(crop, ()):
                    number = copy.removeprefix(crop) if slash and key == "plantings" else ""  # models have ids too
                    out[key][f"{copy}{slash}{rest}{number}"] = value
    return out


def _language(folder: Path, tag: str, names: dict[str, list[str]]) -> None:
    """The Spanish catalogue and chapters under another tag, with the names of the copies."""
    ours = folder / "languages" / tag
    shutil.copytree(DEMO / "languages/es", ours)
    if tag != COPIES[0]:
        shutil.copytree(SHIPPED / "languages/es", ours, dirs_exist_ok=True)
        shutil.copytree(ROOT / "docs/es", folder / "docs" / tag)
        text = (ours / "language.yml").read_text("utf-8")
        text = re.sub(r"(?m)^name: .*$", f"name: Español {tag[-1]}", re.sub(r"(?m)^language: .*$", f"language: {tag}", text))
        (ours / "language.yml").write_text(text, "utf-8")
    elif not (folder / "docs/es").is_dir():
        shutil.copytree(ROOT / "docs/es", folder / "docs/es")
    known: dict[str, str] = {}
    for path in sorted((SHIPPED / "languages/es").glob("*.po")):
        known |= {e.sentence: e.translation for e in read_sentences(path.read_bytes(), path.name)[0]}
    entries = {}
    for crop, copies in names.items():
        name = re.search(r"(?m)^name: (.*)$", (SHIPPED / f"crops/{crop}.yml").read_text("utf-8"))[1]  # type: ignore[index]
        for n in range(2, len(copies) + 1):
            entries[f"{name} {n}"] = Entry(f"{name} {n}", f"{known[name]} {n}", "", 0)
    if entries:
        (ours / "growth.po").write_bytes(write_sentences(dict.fromkeys(entries, ()), entries, tag, "growth"))


# One run


@dataclass(frozen=True)
class Size:
    """How many of each a manual has."""

    crops: int
    labs: int
    languages: int
    cards: bool = False

    def __str__(self) -> str:
        told = [(self.crops, "crop"), (self.labs, "lab"), (self.languages, "language")]
        return ", ".join(f"{n:,} {what}{'s' * (n != 1)}" for n, what in told) + (", with cards" if self.cards else "")


@dataclass(frozen=True)
class Run:
    """What a build took. `cpu` counts every process of it, `peak` is their memory together, in bytes."""

    pages: int
    cpu: float
    wall: float
    peak: int
    files: int
    bytes: int


def measured(command: Sequence[str], folder: Path, out: Path) -> Run:
    """Run one build to its end. Raises RuntimeError with what it said if it fails."""
    before, started = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    environment = {**os.environ, "XDG_CACHE_HOME": str(folder / "cache"), "PYTHONHASHSEED": "0"}
    with subprocess.Popen(command, cwd=folder, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, env=environment) as build:
        peak = 0
        while build.poll() is None:
            peak = max(peak, _memory(build.pid))
            time.sleep(SAMPLE_EVERY)
        said = build.stdout.read().decode() if build.stdout else ""
    wall, after = time.perf_counter() - started, resource.getrusage(resource.RUSAGE_CHILDREN)
    told = re.search(r"(?m)^(\d+) pages? in ", said)
    if build.returncode != 0 or told is None or re.search(r": (error|warning) ", said):
        raise RuntimeError(said)
    sizes = [path.stat().st_size for path in out.rglob("*") if path.is_file()]
    cpu = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return Run(int(told[1]), cpu, wall, peak, len(sizes), sum(sizes))


def _memory(pid: int) -> int:
    """Resident bytes of a process and of all that it started; pages that two share count twice."""
    found = 0
    try:
        found = int(Path(f"/proc/{pid}/statm").read_text().split()[1]) * os.sysconf("SC_PAGE_SIZE")
        below = Path(f"/proc/{pid}/task/{pid}/children").read_text().split()
    except (OSError, IndexError, ValueError):
        return found
    return found + sum(_memory(int(child)) for child in below)


def build(size: Size, work: Path) -> Run:
    """Invent the manual of a size, check it, and build it once."""
    with tempfile.TemporaryDirectory(dir=work, prefix="growth-") as name:
        folder = Path(name)
        manual = invent(folder, size.crops, size.labs, size.languages)
        ours = [sys.executable, "-m", "earleaf.cli"]
        out = folder / "site"
        options = [] if size.cards else ["--no-cards"]
        return measured([*ours, "build", "--plain", *options, "-m", str(manual), "--out", str(out)], folder, out)


# What the runs say


def exponent(runs: Iterable[Run], what: str = "cpu") -> float:
    """The power of the number of pages by which something grows: least squares on logarithms."""
    points = [(math.log(run.pages), math.log(getattr(run, what))) for run in runs]
    mean_x, mean_y = (sum(p[i] for p in points) / len(points) for i in (0, 1))
    return sum((x - mean_x) * (y - mean_y) for x, y in points) / sum((x - mean_x) ** 2 for x, _ in points)


def predicted(runs: Sequence[Run], pages: int, what: str) -> float:
    """What a run of that many pages will take, by the largest run so far, growing a little faster than straight."""
    largest = max(runs, key=lambda run: run.pages)
    return float(getattr(largest, what) * (pages / largest.pages) ** GOAL)


def fits(runs: dict[Size, Run]) -> dict[str, float]:
    """The exponent over all sizes, over the larger half of them, and along each way to grow with the rest the same."""
    plain = {size: run for size, run in runs.items() if not size.cards}
    by_pages = sorted(plain.values(), key=lambda run: run.pages)
    out = {"all sizes": exponent(by_pages), "the larger half of the sizes": exponent(by_pages[len(by_pages) // 2 :])}
    for what in ("crops", "labs", "languages"):
        lines: dict[tuple[int, ...], list[Run]] = {}
        for size, run in plain.items():
            rest = tuple(v for k, v in asdict(size).items() if k not in (what, "cards"))
            lines.setdefault(rest, []).append(run)
        found = [exponent(line) for line in lines.values() if len(line) == 3]
        if found:
            out[f"{what} alone, the highest of {len(found)} lines"] = max(found)
    return out


def sizes() -> list[Size]:
    """Every size, in the order of its pages; and one with cards."""
    every = [Size(*size) for size in product(CROPS, LABS, LANGUAGES)]
    every.sort(key=guessed)
    return [every[0], Size(CROPS[0], LABS[1], LANGUAGES[0]), Size(CROPS[0], LABS[1], LANGUAGES[0], cards=True), *every[1:]]


def guessed(size: Size) -> int:
    """About how many pages a size gives: two handouts a crop for each lab and for any lab, and three pages more."""
    return size.languages * (size.crops * (2.18 * (1 + size.labs) + 2.4) + 90) // 1


def too_much(runs: dict[Size, Run], size: Size) -> str:
    """Why a size is not run; empty if it may be."""
    known = [run for other, run in runs.items() if not other.cards]
    if len(known) < 3 or size.cards:
        return ""
    pages = round(guessed(size))
    minutes, memory = predicted(known, pages, "wall") / 60, predicted(known, pages, "peak") / 2**30
    if minutes > MINUTES or memory > GIGABYTES:
        return f"not run; predicted {pages:,} pages, {minutes:.0f} minutes, {memory:.0f} GB"
    return ""
