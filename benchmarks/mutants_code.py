"""Does a test fail when the arithmetic is wrong? One small fault at a time in agronomy/ and planning/, in memory only.

    python benchmarks/mutants_code.py                    a seeded sample, kept as figures/mutants-code.json
    python benchmarks/mutants_code.py --log FILE         carry on with FILE: only what is not yet known to be killed
    python benchmarks/mutants_code.py --log FILE --minutes 30     the same, and stop after so many minutes
    python benchmarks/mutants_code.py --log FILE --tests tests/unit/test_sun.py   what survived, by new tests alone
    python benchmarks/mutants_code.py --only 17 --show   one mutant by its number, with the tests that look at its line

One pytest session collects the tests, runs each once and notes which lines it walks. For each mutant the session
forks; the child swaps the code of the one module, runs the tests that walk the changed line, the quickest first, and
ends at the first that fails. No file is changed. A child that takes too much processor time counts as killed: a test
would hang.
"""

from __future__ import annotations

import argparse
import ast
import json
import os
import random
import re
import resource
import sys
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import suppress
from importlib import import_module
from itertools import accumulate
from pathlib import Path
from typing import Any

import coverage
import pytest
from _pytest.runner import runtestprotocol
from code_faults import ROOMS, ROOT, Mutant, digest_of, every_mutant, put_in, source_of
from hypothesis import HealthCheck, Phase, settings
from quality import Figure, keep

SAMPLE, SEED = 450, 2027
NOBODY = "no test walks it"
GOAL_SHARE = 0.85
SECONDS = 30
ENOUGH = 3.0
"""Seconds of processor time of a mutant's tests: a mutant whose quick tests all pass counts as survived."""
EXAMPLES = 15
NOT_HERE = {"built", "pages_only", "site", "page", "browser"}
"""Fixtures of whole sites: these tests look at pages. What is killed here is killed by tests of the arithmetic."""


# One session of pytest that forks


class Forks:
    """The plugin: first every test once, noting lines and seconds, then a child for each mutant."""

    def __init__(self, wanted: list[Mutant], log: Path | None, show: bool, minutes: float, part: bool) -> None:
        self.wanted, self.log, self.show, self.part = wanted, log, show, part
        self.until = time.monotonic() + 60 * minutes
        self.known: dict[str, str] = {}
        self.lines: dict[str, dict[int, list[str]]] = {}
        self.cost: dict[str, float] = {}
        self.shared: dict[str, list[Any]] = {}
        self.warm: set[str] = set()
        include = [str(ROOT / "generator/earleaf" / room / "*.py") for room in ROOMS]
        self.cov = coverage.Coverage(data_file=None, include=include, config_file=False)

    @pytest.hookimpl(wrapper=True)
    def pytest_fixture_setup(self, fixturedef: Any, request: Any) -> Iterator[None]:
        if fixturedef.scope == "function" or not self.cov._started:
            return (yield)
        self.shared.setdefault(fixturedef.argname, []).append(fixturedef)
        self.cov.switch_context(f"fixture {fixturedef.argname}")
        try:
            return (yield)
        finally:
            self.cov.switch_context(f"test {request.node.nodeid}" if request.node.nodeid else "")

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        items[:] = [
            item
            for item in items
            if not NOT_HERE & set(getattr(item, "fixturenames", ()))
            and item.get_closest_marker("slow") is None
            and "less_than_a_second" not in item.name  # it watches the clock, and is slower while lines are noted
        ]
        for item in items:
            gentle(item)

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        items = session.items
        known = self.remembered(items)
        fresh = [item for item in items if item.nodeid not in known or self.warms(item)]
        self.cov.start()
        for item, following in zip(fresh, [*fresh[1:], session], strict=True):
            self.cov.switch_context(f"test {item.nodeid}")
            before = time.process_time()
            reports = runtestprotocol(item, nextitem=following, log=False)
            self.cost[item.nodeid] = time.process_time() - before
            failed = [r for r in reports if r.failed]
            assert not failed, f"{item.nodeid} fails without any fault: {failed[0].longreprtext}"
        self.cov.stop()
        self.cov._started = False
        data = self.cov.get_data()
        for name in data.measured_files():
            into = self.lines.setdefault(Path(name).stem, {})
            for line, contexts in data.contexts_by_lineno(name).items():
                into[line] = sorted({*into.get(line, ()), *contexts} - {""})
        self.remember(items)
        print(f"{len(items)} tests, {sum(self.cost.values()):.0f} s of processor time", flush=True)
        for i, mutant in enumerate(self.wanted):
            if time.monotonic() > self.until:
                break
            verdict = self.judge(session, mutant)
            if verdict == NOBODY and self.part:
                continue
            self.known[mutant.key] = verdict
            if self.log:
                with self.log.open("a", encoding="utf-8") as file:
                    file.write(json.dumps([mutant.key, verdict]) + "\n")
            if verdict != "killed" or self.show:
                told = f"{mutant.module.removeprefix('earleaf.')}:{mutant.line} {mutant.what}"
                print(f"{i + 1}/{len(self.wanted)} #{mutant.number} {verdict}: {told}", flush=True)
        return True

    def warms(self, item: pytest.Item) -> bool:
        """The first test of each fixture that a session shares: the children then have it ready."""
        new = {name for name in ("demo", "database") if name in getattr(item, "fixturenames", ())} - self.warm
        self.warm |= new
        return bool(new)

    def remembered(self, items: list[pytest.Item]) -> set[str]:
        """Tests whose lines and seconds stand beside the log, from an earlier run of the same file."""
        if self.log is None or self.part or not (path := self.log.with_suffix(".lines")).exists():
            return set()
        old = json.loads(path.read_text("utf-8"))
        same = {
            file for file, digest in old["files"].items() if Path(file).exists() and digest_of(Path(file)) == digest
        }
        kept = {item.nodeid for item in items if str(item.path) in same and item.nodeid in old["cost"]}
        self.cost = {name: cost for name, cost in old["cost"].items() if name in kept}
        for module, by_line in old["lines"].items():
            self.lines[module] = {
                int(line): [c for c in contexts if not c.startswith("test ") or c.removeprefix("test ") in kept]
                for line, contexts in by_line.items()
            }
        return kept

    def remember(self, items: list[pytest.Item]) -> None:
        if self.log is not None and not self.part:
            files = {str(item.path): digest_of(item.path) for item in items}
            kept = {"files": files, "cost": self.cost, "lines": self.lines}
            self.log.with_suffix(".lines").write_text(json.dumps(kept), "utf-8")

    def tests_for(self, session: pytest.Session, mutant: Mutant) -> tuple[list[pytest.Item], set[str]]:
        """The tests that walk the line, quickest first, and the shared fixtures that do.

        A line that runs when the module is loaded belongs to no test: then those that walk the module, and all others.
        """
        by_line = self.lines.get(mutant.module.rpartition(".")[2], {})
        walked = {c for line in statement_lines(mutant) for c in by_line.get(line, []) if c}
        contexts = walked or {c for contexts in by_line.values() for c in contexts}
        fixtures = {c.removeprefix("fixture ") for c in contexts if c.startswith("fixture ")}
        names = {c.removeprefix("test ") for c in contexts if c.startswith("test ")}
        direct = [item for item in session.items if item.nodeid in names]
        through = [
            item
            for item in session.items
            if fixtures and item.nodeid not in names and fixtures & set(getattr(item, "fixturenames", ()))
        ]
        others = [] if walked else [item for item in session.items if item not in direct]
        return self.quickest(direct) + self.quickest(through) + self.quickest(others), fixtures

    def quickest(self, items: list[pytest.Item]) -> list[pytest.Item]:
        """The quick tests first, as many as fit into the seconds of one mutant, but one at least."""
        order = sorted(items, key=lambda item: self.cost[item.nodeid])
        sums = accumulate(self.cost[item.nodeid] for item in order)
        return [item for n, (item, total) in enumerate(zip(order, sums, strict=True)) if total <= ENOUGH or n == 0]

    def judge(self, session: pytest.Session, mutant: Mutant) -> str:
        items, fixtures = self.tests_for(session, mutant)
        if self.show:
            print("\n".join(item.nodeid for item in items))
        if not items:
            return NOBODY
        child = os.fork()
        if child == 0:
            code = 99
            with suppress(BaseException):
                code = self.inside(session, mutant, items, fixtures)
            os._exit(code)
        _, status = os.waitpid(child, 0)
        if os.WIFSIGNALED(status):
            return "killed by time"
        return {0: "survived", 1: "killed", 2: "killed"}.get(os.WEXITSTATUS(status), "the tool failed")

    def inside(self, session: pytest.Session, mutant: Mutant, items: list[pytest.Item], fixtures: set[str]) -> int:
        resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS + 1))
        if not self.show:
            os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
        import_module(mutant.module)  # a test file may not have asked for it
        try:
            put_in(mutant)
        except Exception:
            return 2
        for name in fixtures:
            for definition in self.shared.get(name, ()):
                definition.cached_result = None
        for item, following in zip(items, [*items[1:], session], strict=True):
            reports = runtestprotocol(item, nextitem=following, log=False)
            if any(report.failed for report in reports):
                if self.show:
                    print(item.nodeid, "fails")
                return 1
        return 0


def statement_lines(mutant: Mutant) -> list[int]:
    """The lines of the statement around a mutant, or of its head; none for what runs when the module is loaded."""
    tree = ast.parse(source_of(mutant.module))
    found: list[int] = []
    for function in (node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef | ast.Lambda)):
        if isinstance(function, ast.Lambda):
            inside: list[ast.AST] = [function.body]
        else:
            inside = [node for statement in function.body for node in ast.walk(statement)]
        for node in inside:
            if not isinstance(node, ast.stmt | ast.expr) or not node.lineno <= mutant.line <= (node.end_lineno or 0):
                continue
            body = getattr(node, "body", None)
            last = body[0].lineno - 1 if isinstance(body, list) else node.end_lineno or 0
            if isinstance(node, ast.stmt) or isinstance(function, ast.Lambda):
                lines = list(range(node.lineno, max(last, node.lineno) + 1))
                if mutant.line in lines and (not found or len(lines) < len(found)):
                    found = lines
    return found


def gentle(item: Any) -> None:
    """Property tests with few examples, the same each time, and without looking for the smallest failure."""
    run = getattr(getattr(item, "obj", None), "hypothesis", None)
    test = item.obj if run is not None else None
    if test is not None:
        base = getattr(test, "_hypothesis_internal_use_settings", None) or settings.default
        test._hypothesis_internal_use_settings = settings(
            base, max_examples=min(EXAMPLES, base.max_examples), derandomize=True, database=None, deadline=None,
            phases=[Phase.explicit, Phase.generate], suppress_health_check=list(HealthCheck),
        )  # fmt: skip


def test_files() -> list[str]:
    """The tests of the arithmetic: every file of unit/ and published/ that imports one of the rooms, and a few more."""
    said = re.compile(rf"earleaf\.({'|'.join(ROOMS)})")
    folders = [ROOT / "tests/unit", ROOT / "tests/published"]
    files = [p for folder in folders for p in sorted(folder.glob("test_*.py")) if said.search(p.read_text("utf-8"))]
    return [str(path) for path in files]


# The run


def main() -> int:
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--sample", type=int, default=SAMPLE, help="how many mutants, chosen by the seed")
    ask.add_argument("--seed", type=int, default=SEED)
    ask.add_argument("--log", type=Path, help="a file of verdicts: killed ones are not run again")
    ask.add_argument("--minutes", type=float, default=600.0, help="judge no more after so many minutes")
    ask.add_argument("--tests", nargs="*", help="new test files: only what survived is judged again, by these alone")
    ask.add_argument("--only", type=int, nargs="*", help="mutants by number; nothing is kept")
    ask.add_argument("--show", action="store_true")
    asked = ask.parse_args()
    every = every_mutant()
    sample = sorted(random.Random(asked.seed).sample(every, min(asked.sample, len(every))), key=lambda m: m.number)
    if asked.only:
        sample = [every[number] for number in asked.only]
    before: dict[str, str] = {}
    if asked.log and asked.log.exists():
        before = dict(json.loads(line) for line in asked.log.read_text("utf-8").splitlines())
    before = {m.key: before[m.key] for m in sample if m.key in before and not asked.only}
    dice = random.Random(asked.seed)
    fresh = dice.sample([m for m in sample if m.key not in before], len(sample) - len(before))
    again = [m for m in sample if m.key in before and not before[m.key].startswith("killed")]
    todo = (
        again if asked.tests and not asked.only else [*again, *fresh]
    )  # what was judged is then the start of a shuffled list
    print(f"{len(every)} mutants, {len(sample)} chosen, {len(todo)} to run", flush=True)
    forks = Forks(todo, asked.log, asked.show, asked.minutes, bool(asked.tests))
    os.environ.setdefault("XDG_CACHE_HOME", str(ROOT / "build/mutants"))
    code = pytest.ExitCode.OK
    if asked.minutes > 0:
        code = pytest.main(
            ["-q", "-p", "no:cacheprovider", "--rootdir", str(ROOT), *(asked.tests or test_files())], plugins=[forks]
        )
    verdicts = before | forks.known
    if code not in (pytest.ExitCode.OK, pytest.ExitCode.NO_TESTS_COLLECTED):
        return int(code)
    judged = [m for m in sample if m.key in verdicts]
    print(Counter(verdicts[m.key] for m in judged))
    if not asked.only:
        keep_figures(every, judged, verdicts)
    return 0


def keep_figures(every: list[Mutant], sample: list[Mutant], verdicts: dict[str, str]) -> None:
    """The share killed, by room and by kind, and what survived."""
    dead = [m for m in sample if verdicts[m.key].startswith("killed")]
    share = len(dead) / len(sample)
    figures = [
        Figure("Small faults put into the arithmetic and the planning, one at a time", f"{len(sample)} of {len(every)}",
               "at least 400", len(sample) >= 400),
        Figure("Of these, a test fails", f"{len(dead)} ({share:.1%})", "at least 85 %", share >= GOAL_SHARE),
    ]  # fmt: skip
    for room in ROOMS:
        mine = [m for m in sample if m.module.startswith(f"earleaf.{room}.")]
        caught = sum(m in dead for m in mine)
        figures.append(Figure(f"In {room}/", f"{caught} of {len(mine)} ({caught / len(mine):.1%})"))
    for kind, count in sorted(Counter(m.kind for m in sample).items()):
        caught = sum(m.kind == kind for m in dead)
        figures.append(Figure(f"Kind: {kind}", f"{caught} of {count}"))
    left = [m for m in sample if m not in dead]
    alike = sum(bool(same_as_before(m)) for m in left)
    figures.append(Figure("Left over and the same program by our reading, counted as not seen", str(alike)))
    notes = []
    for m in left:
        why = same_as_before(m) or verdicts[m.key]
        notes.append(f"Left over in {m.module.removeprefix('earleaf.')}, line {m.line}: {m.what}: {why}.")
    keep("mutants-code", "Faults in the arithmetic that the tests see", 41, "python benchmarks/mutants_code.py",
         figures, [*NOTES, *notes])  # fmt: skip


ONE_OF_ONE = "there is only one, so the first is the last"
SAME: dict[tuple[str, str, str], str] = {
    (
        "development",
        "np.clip(begin + counted_from, 0, days)",
        "0 ",
    ): "what starts before the season is told apart below",
    ("diurnal", "since_low = np.round(hour", "9 "): "a decimal more or less of rounding",
    ("diurnal", "np.isnan(low + high), np.nan, share", "Add"): "a difference of missing readings is missing, too",
    (
        "diurnal",
        "starts_cool = ",
        "",
    ): "the first span begins at sunrise or long after; the minute only takes up rounding",
    ("diurnal", "dark = -np.log", "1.0 "): "a share over 1 is cool all day, and the night is not asked",
    ("diurnal", "always, never = ", "Lt "): "a span without length is left out either way",
    ("ensemble", "found = np.take_along_axis", "0 "): ONE_OF_ONE,
    ("ensemble", "place = np.round(place, 9)", "9 "): "a decimal more or less of rounding",
    ("diurnal", "np.arange(24 * 60)", "60 becomes 61"): "minutes after sunset do not count",
    ("diurnal", "morning = self.holds", "Gt "): "a span without length is left out either way",
    ("sun", "rises = np.abs(cosine)", "Lt "): "a single point between night and no night",
    ("waves", "np.maximum(0.0, gain)", "0.0 "): "a gain falls under nothing only by rounding",
    ("forecast", "first <= day < date(year + 1", "Lt "): "the first day of a season is found in its own year first",
    ("forecast", "weather.day(0) or", ""): "a season always has its first day",
    (
        "forecast",
        "if model.late is None or south or all(",
        "NotEq",
    ): "without the early end the shift comes out as nothing",
    ("own_model", "adjusted(_figures(need), shift=shift)[0, 0]", "0 "): ONE_OF_ONE,
    ("own_model", "later = [leg for leg", "Gt "): "the leg that starts there stands first, and the first holds",
    ("own_model", "from_rating([total]", "0 "): ONE_OF_ONE,
    ("own_model", "rated[need.stage][0]", "0 "): "all three figures are alike",
    ("own_season", "[seen.day], seen.stage)[0]", "0 "): ONE_OF_ONE,
    ("", "strict=True", "True"): "both lists are made of the same length",
}
"""Faults that change nothing a caller can see: (module, part of the line, start of the fault) and why."""


def same_as_before(mutant: Mutant) -> str:
    """Why a fault makes no other program, or ""."""
    line = source_of(mutant.module).splitlines()[mutant.line - 1]
    return next(
        (
            why
            for (module, part, what), why in SAME.items()
            if mutant.module.endswith(module) and part in line and mutant.what.startswith(what)
        ),
        "",
    )


NOTES = [
    "The sample is chosen by a seed. A fault is one comparison, sign, number, condition, bound or return changed. "
    "Only tests of single modules and of published figures judge; tests of whole pages do not take part.",
    f"Property tests run with {EXAMPLES} examples at most, and one fault gets {ENOUGH:g} seconds of tests at most: a "
    "longer run could only kill more.",
]


if __name__ == "__main__":
    sys.exit(main())
