"""How time, memory and size grow with crops, labs and languages, and where one machine stops being enough.

    python benchmarks/growth.py               50, 200, 1,000 crops x 1, 5, 20 labs x 1, 2, 4 languages
    python benchmarks/growth.py --most 3000   only sizes of up to so many pages
    python benchmarks/growth.py --log FILE    takes up a series where it was stopped

Each manual is invented from the shipped database: crops multiplied, with ids, short ids, evidence rows, planting dates
and old names of their own; labs multiplied, with what the demo's labs want otherwise; languages that are copies of the
Spanish catalogue. A manual with a finding stops the run. Each build is a process of its own. Seconds are those of the
CPU, of all its processes; memory is the peak of all together.

Sizes come in growing order. One that would pass MINUTES of one core or GIGABYTES by what the last runs say is not run,
and told so. Then one size is built in parts, which are joined and compared. Never a timed test.
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
from collections.abc import Callable, Iterable, Sequence
from dataclasses import asdict, dataclass, replace
from html import escape
from itertools import product
from pathlib import Path
from typing import Any

import yaml
from quality import Figure, keep

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
OURS = (sys.executable, "-m", "earleaf.cli")
ENOUGH = 5
"""So many runs say something of the next."""
COPIES = ("es", "qab", "qac", "qad", "qae")
LETTERS = "abcdefghijklmnopqrstuvwxyz23456789"
SAMPLE_EVERY, YARDSTICK_EVERY = 0.2, 4.0


# The invented manual


def invent(folder: Path, crops: int, labs: int, languages: int) -> Path:
    """A manual of that size below a folder; the path of its manual.yml."""
    demo = yaml.safe_load((DEMO / "manual.yml").read_text("utf-8"))
    shutil.copytree(
        SHIPPED, folder / "protocols", ignore=shutil.ignore_patterns("crops", "published-ids.txt", "evidence")
    )
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
        text = re.sub(
            r"(?m)^name: .*$", f"name: Español {tag[-1]}", re.sub(r"(?m)^language: .*$", f"language: {tag}", text)
        )
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
    """What a build took: `seconds` of the CPU by all its processes, `peak` of their memory together in bytes.

    Other work beside a run slows the CPU itself; `stick` is how long the yardstick took meanwhile, on average.
    """

    pages: int
    seconds: float
    stick: float
    peak: int
    files: int
    bytes: int

    @property
    def cpu(self) -> float:
        """The seconds at the best speed of this machine."""
        return self.seconds * BEST[0] / self.stick


def measured(command: Sequence[str], folder: Path, out: Path) -> Run:
    """Run one build to its end. Raises RuntimeError with what it said if it fails."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    environment = {**os.environ, "XDG_CACHE_HOME": str(folder / "cache"), "PYTHONHASHSEED": "0"}
    peak, sticks, looked = 0, [yardstick()], time.perf_counter()
    with (
        (folder / "said.txt").open("wb") as said,
        subprocess.Popen(command, cwd=folder, stdout=said, stderr=said, env=environment) as build,
    ):
        while build.poll() is None:
            peak = max(peak, _memory(build.pid))
            time.sleep(SAMPLE_EVERY)
            if time.perf_counter() - looked > YARDSTICK_EVERY:
                sticks.append(yardstick())
                looked = time.perf_counter()
    after, text = resource.getrusage(resource.RUSAGE_CHILDREN), (folder / "said.txt").read_text("utf-8")
    told = re.search(r"(?m)^(\d+) pages? in ", text)
    if build.returncode != 0 or told is None or re.search(r"  (error|warning) ", text):
        raise RuntimeError(text)
    sizes = [path.stat().st_size for path in out.rglob("*") if path.is_file()]
    seconds = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return Run(int(told[1]), seconds, sum(sticks) / len(sticks), peak, len(sizes), sum(sizes))


BEST = [math.inf]
"""The yardstick's best time so far."""


def yardstick() -> float:
    """CPU seconds of a fixed piece of work like that of a build: words put together, looked up, escaped."""
    started = time.process_time()
    known = {f"sentence {n}": f"<li>{n} & {n + 1}</li>" * 3 for n in range(20_000)}
    text = "".join(escape(known[f"sentence {n * 7 % 20_000}"]) for n in range(40_000))
    re.sub(r"\d+", lambda found: found[0][::-1], text[:400_000])
    taken = time.process_time() - started
    BEST[0] = min(BEST[0], taken)
    return taken


def _memory(pid: int) -> int:
    """Resident bytes of a process and of all that it started; pages that two share count twice."""
    found = 0
    try:
        found = int(Path(f"/proc/{pid}/statm").read_text().split()[1]) * os.sysconf("SC_PAGE_SIZE")
        below = Path(f"/proc/{pid}/task/{pid}/children").read_text().split()
    except (OSError, IndexError, ValueError):
        return found
    return found + sum(_memory(int(child)) for child in below)


def built(size: Size, work: Path) -> Run:
    """Invent the manual of a size, and build it once."""
    with tempfile.TemporaryDirectory(dir=work, prefix="growth-") as name:
        folder = Path(name)
        manual = invent(folder, size.crops, size.labs, size.languages)
        options = [] if size.cards else ["--no-cards"]
        out = folder / "site"
        return measured([*OURS, "build", "--plain", *options, "-m", str(manual), "--out", str(out)], folder, out)


def in_parts(size: Size, work: Path) -> list[Run]:
    """The same manual at once, in parts, each a process of its own, and joined. RuntimeError if a byte differs."""
    with tempfile.TemporaryDirectory(dir=work, prefix="growth-") as name:
        folder = Path(name)
        manual = str(invent(folder, size.crops, size.labs, size.languages))
        site, joined = folder / "site", folder / "joined"
        one = measured([*OURS, "build", "--plain", "--no-cards", "-m", manual, "--out", str(site)], folder, site)
        names = subprocess.run(
            [*OURS, "parts", "-m", manual], check=True, capture_output=True, text=True
        ).stdout.split()
        parts, outs = [], [folder / "parts" / name.replace("/", "-") for name in names]
        for which, out in zip(names, outs, strict=True):
            ask = ["--no-cards", "--part", which, "-m", manual, "--out", str(out)]
            parts.append(measured([*OURS, "build", "--plain", *ask], folder, out))
        join = measured([*OURS, "join", *map(str, outs), "-m", manual, "--out", str(joined)], folder, joined)
        if subprocess.run(["diff", "-r", str(site), str(joined)], capture_output=True).returncode:
            raise RuntimeError("the joined site differs from the one built at once")
        return [one, *parts, join]


SPLIT = Size(CROPS[0], LABS[0], LANGUAGES[1])
"""The size that is built in parts too."""


class Log:
    """Runs by name, each written down at once, so that a long series can be stopped and taken up again."""

    def __init__(self, path: Path | None) -> None:
        self.path = path
        self.known: dict[str, list[Run]] = {}
        for line in path.read_text("utf-8").splitlines() if path and path.exists() else []:
            one = json.loads(line)
            self.known[one["name"]] = [Run(**run) for run in one["runs"]]
            BEST[0] = min(BEST[0], one["best"])

    def runs(self, name: str, run: Callable[[], list[Run]]) -> list[Run]:
        """The runs of that name, made now if they are not known."""
        if name not in self.known:
            self.known[name] = run()
            if self.path:
                with self.path.open("a", encoding="utf-8") as out:
                    some = [asdict(one) for one in self.known[name]]
                    out.write(json.dumps({"name": name, "runs": some, "best": BEST[0]}) + "\n")
        return self.known[name]


# What the runs say


def line(runs: Iterable[Run], what: str) -> tuple[float, float]:
    """The straight line through some runs, by least squares: what there is at no page, and what each page adds."""
    points = [(run.pages, float(getattr(run, what))) for run in runs]
    mean_x, mean_y = (sum(p[i] for p in points) / len(points) for i in (0, 1))
    slope = sum((x - mean_x) * (y - mean_y) for x, y in points) / sum((x - mean_x) ** 2 for x, _ in points)
    return mean_y - slope * mean_x, slope


def exponent(runs: Iterable[Run], what: str = "cpu") -> float:
    """The power of the number of pages by which something grows: least squares on logarithms."""
    points = [(math.log(run.pages), math.log(getattr(run, what))) for run in runs]
    mean_x, mean_y = (sum(p[i] for p in points) / len(points) for i in (0, 1))
    return sum((x - mean_x) * (y - mean_y) for x, y in points) / sum((x - mean_x) ** 2 for x, _ in points)


def held(runs: Iterable[Run]) -> tuple[float, float]:
    """Bytes that are held at no page, and what a page adds in the dearest of the larger runs: languages differ."""
    some = sorted(runs, key=lambda run: run.pages)
    least = min(run.peak for run in some)
    return least, max((run.peak - least) / run.pages for run in some[-len(some) // 2 :])


def predicted(runs: Sequence[Run], pages: int) -> tuple[float, float]:
    """Minutes of one core and GB that so many pages will take."""
    some = sorted(runs, key=lambda run: run.pages)[-ENOUGH:]
    (base, each), (least, more) = line(some, "cpu"), held(runs)
    return (base + each * pages) / 60, (least + more * pages) / 2**30


def fits(runs: dict[Size, Run]) -> dict[str, float]:
    """The exponent over all sizes, over the larger half of them, and along each way to grow with the rest the same."""
    plain = {size: run for size, run in runs.items() if not size.cards}
    by_pages = sorted(plain.values(), key=lambda run: run.pages)
    out = {"all sizes": exponent(by_pages), "the larger half of the sizes": exponent(by_pages[len(by_pages) // 2 :])}
    for what in ("crops", "labs", "languages"):
        ways: dict[tuple[int, ...], list[Run]] = {}
        for size, run in plain.items():
            ways.setdefault(tuple(v for k, v in asdict(size).items() if k not in (what, "cards")), []).append(run)
        found = [exponent(way) for way in ways.values() if len(way) > 1]
        if found:
            out[f"{what} alone, the mean of {len(found)} rows"] = sum(found) / len(found)
    return out


def sizes() -> list[Size]:
    """Every size, in the order of its pages; and one with cards."""
    every = sorted((Size(*size) for size in product(CROPS, LABS, LANGUAGES)), key=guessed)
    return [*every, replace(every[0], cards=True)]


def guessed(size: Size) -> int:
    """About how many pages a size gives: two handouts a crop for each lab and for any lab, and two pages more."""
    return round(size.languages * (size.crops * (2.18 * (1 + size.labs) + 2.1) + 80))


def too_much(runs: dict[Size, Run], size: Size, most: int) -> str:
    """Why a size is not run, with what it would take; empty if it may be run."""
    known = [run for other, run in runs.items() if not other.cards]
    if len(known) < ENOUGH or size.cards:
        return ""
    pages = guessed(size)
    minutes, memory = predicted(known, pages)
    if minutes > MINUTES or memory > GIGABYTES or pages > most:
        return f"not run; predicted {pages:,} pages, {minutes:.1f} minutes of one core, {memory:.1f} GB"
    return ""


def told(run: Run) -> str:
    return (
        f"{run.pages:,} pages, {run.cpu:,.0f} s of CPU ({run.cpu / run.pages * 1000:.1f} ms a page), "
        f"{run.peak / 2**30:.2f} GB, {run.bytes / run.pages / 1000:.0f} kB a page"
    )


def figures(runs: dict[Size, Run], not_run: dict[Size, str], split: tuple[Run, list[Run], Run] | None) -> list[Figure]:
    """Exponents, limits of one machine and what parts take, then each size."""
    plain = sorted((run for size, run in runs.items() if not size.cards), key=lambda run: run.pages)
    out = []
    for name, power in fits(runs).items():
        goal = name.startswith(("all", "the"))
        reached = power <= GOAL if goal else None
        out.append(Figure(f"CPU grows with pages to the power of: {name}", f"{power:.3f}", f"≤ {GOAL}" * goal, reached))
    (least, more), (base, each) = held(plain), line(plain[-ENOUGH:], "cpu")
    limit = int((GIGABYTES * 2**30 - least) / more)
    core = (base + each * limit) / 60
    said = f"about {limit:,} pages; {core:.1f} minutes of one core, {core / 2:.1f} of two ({more / 1000:.0f} kB a page)"
    out.append(Figure(f"One machine with {GIGABYTES} GB is full at", said))
    cards = [(run, runs[replace(size, cards=False)]) for size, run in runs.items() if size.cards]
    for dear, cheap in cards:
        factor = f"{dear.cpu / cheap.cpu:.1f} times the CPU, {dear.bytes / cheap.bytes:.1f} times the bytes"
        out.append(Figure("With cards, none of them known from before", factor))
    if split:
        one, parts, join = split
        longest = max(parts, key=lambda run: run.cpu)
        sum_ = sum(run.cpu for run in parts)
        at_once = f"{one.cpu:.0f} s of CPU at once; longest part {longest.cpu:.0f} s, join {join.cpu:.0f} s"
        out.append(Figure(f"{one.pages:,} pages in {len(parts)} parts", f"{at_once}; all parts {sum_:.0f} s"))
        memory = [f"{run.peak / 2**30:.2f} GB" for run in (one, max(parts, key=lambda run: run.peak), join)]
        out.append(Figure("Memory: at once, the largest part, the join", ", ".join(memory)))
        out.append(Figure("The joined site is the one built at once, byte for byte", "yes", "yes", True))
    out += [Figure(str(size), told(run)) for size, run in runs.items()]
    return out + [Figure(str(size), why) for size, why in not_run.items()]


NOTES = [
    "Invented from the shipped database: crops multiplied, one in seven with calendars in three regions, one in five "
    "with an old name; labs multiplied; languages that are copies of the Spanish catalogue.",
    "Without cards unless it says so. CPU is that of all processes of a build. Other work beside it slows the CPU: "
    "a fixed piece of work, timed all along, tells by how much, and the figures are for its best time.",
    "Memory is what all processes hold at the worst moment, pages that two of them share counted twice.",
    "A page is an address with text. Its bytes hold its share of all files: drawings, data, embeds, lists.",
    f"A size is not run if it would take more than {MINUTES} minutes of one core or {GIGABYTES} GB: time by a "
    "straight line through the largest runs, memory by what a page added at most in the larger runs.",
    "Past that size, build in parts: docs/guides/large-manuals.md.",
]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--most", type=int, default=10**9, metavar="PAGES", help="no size of more pages than this")
    parser.add_argument("--log", type=Path, default=None, help="file of runs: what is in it is not run again")
    parser.add_argument("--work", type=Path, default=None, help="where to build (default: where the system does)")
    args = parser.parse_args()
    work = args.work or Path(tempfile.gettempdir())
    work.mkdir(parents=True, exist_ok=True)
    log = Log(args.log)
    yardstick()
    command = "python benchmarks/growth.py" + (f" --most {args.most}" if args.most < 10**9 else "")
    runs: dict[Size, Run] = {}
    not_run: dict[Size, str] = {}
    for size in sizes():
        if str(size) not in log.known and (why := too_much(runs, size, args.most)):
            not_run[size] = why
        else:
            (runs[size],) = log.runs(str(size), lambda size=size: [built(size, work)])  # type: ignore[misc]
        print(f"{size}: {not_run.get(size) or told(runs[size])}", flush=True)
    one, *parts, join = log.runs(f"{SPLIT}, in parts", lambda: in_parts(SPLIT, work))
    shown = figures(runs, not_run, (one, parts, join))
    for figure in shown:
        print(figure.what, figure.value, figure.goal, sep=" | ")
    keep("growth", "Growth, and splitting the work", 50, command, shown, NOTES)


if __name__ == "__main__":
    main()
