"""Spoilt files by the thousand, of every kind that Earleaf reads; keeps figures for docs/quality.md.

python benchmarks/hostile.py [first seed] [how many]
"""
# ruff: noqa: E501

from __future__ import annotations

import resource
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE), str(HERE.parent / "tests/hostile")]

from quality import Figure, keep  # noqa: E402
from trial import LIMIT_S, Outcome, Trials  # noqa: E402
from whole_manual import KINDS  # noqa: E402

FIRST, MANY, BUILT = 1000, 20_000, 15
GIGABYTE = 1_000_000


def main(first: int, many: int) -> None:
    """Try them all; tell the faults as they come."""
    begun, outcomes = time.perf_counter(), []
    with tempfile.TemporaryDirectory() as folder:
        trials = Trials(Path(folder))
        before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
        for seed in range(first, first + many):
            outcome = trials.one(seed, build=seed % BUILT == 0)
            outcomes.append(outcome)
            if outcome.fault:
                print(outcome, flush=True)
            if len(outcomes) % 1000 == 0:
                print(f"{len(outcomes):,} of {many:,} in {time.perf_counter() - begun:.0f} s", flush=True)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    _keep(outcomes, peak, peak - before, first)


def _keep(outcomes: list[Outcome], peak_kb: int, grown_kb: int, first: int) -> None:
    faults = [o for o in outcomes if o.fault]
    slowest = max(outcomes, key=lambda o: o.seconds)
    kinds = Counter(o.kind for o in outcomes)
    read_only = [o for o in outcomes if not o.built]
    figures = [
        Figure("spoilt files", f"{len(outcomes):,}", "20,000", len(outcomes) >= MANY),
        Figure("kinds of files", f"{len(kinds)}, {min(kinds.values()):,} files or more of each", "every kind", set(kinds) == set(KINDS)),
        Figure("an exception, a message without hint, or one that no terminal can show", str(len(faults)), "0", not faults),
        Figure("told as an error", f"{sum(o.errors > 0 for o in outcomes):,}"),
        Figure("passed the check (the damage is a text like any other)", f"{sum(not o.errors and not o.fault for o in outcomes):,}"),
        Figure("of those, built as a site or a season", f"{sum(o.built for o in outcomes):,}"),
        Figure("slowest file (processor)", f"{slowest.seconds:.1f} s: {slowest.file}, {slowest.how}", f"{LIMIT_S} s at most", slowest.seconds <= LIMIT_S),
        Figure("mean time to read and check", f"{1000 * sum(o.seconds for o in read_only) / max(1, len(read_only)):.0f} ms"),
        Figure("most memory", f"{peak_kb / 1000:.0f} MB, {grown_kb / 1000:.0f} MB of it for spoilt files", "1 GB at most", peak_kb < GIGABYTE),
    ]  # fmt: skip
    notes = [
        f"Seeds {first} to {first + len(outcomes) - 1} of `tests/hostile/mutate.py`; each spoils one file of a small manual one to "
        "three times. The tests repeat 500 of them in the usual run and all in the slow one, and try files of 50 MB apart.",
        "Spoilt by slips of keys, damage of disks, other programs' habits, and texts meant to do harm: "
        + ", ".join(sorted({part for o in outcomes for part in o.how.split(" + ")}))
        + ".",
    ]
    print(keep("hostile", "Broken and hostile files", 10, "python benchmarks/hostile.py", figures, notes))


if __name__ == "__main__":
    main(*(int(given) for given in (*sys.argv[1:], *(FIRST, MANY)[len(sys.argv) - 1 :])))
