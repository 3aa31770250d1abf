"""Builds that are killed at 200 moments, and builds that must give the same bytes anywhere.

    python benchmarks/interruptions.py kills       the first
    python benchmarks/interruptions.py identical   the second

Each takes about a quarter of an hour on two free cores. What is done stands in tests/steady/; this counts it.
"""

from __future__ import annotations

import sys
import tempfile
from collections import Counter
from collections.abc import Iterable
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE), str(HERE.parent / "tests/steady"), str(HERE.parent / "tests")]

from killing import Killed, many_kills  # noqa: E402
from quality import Figure, keep  # noqa: E402
from test_identical import Compared, compare_all, make_wheel  # noqa: E402
from tried import difference  # noqa: E402

COMMAND = "python benchmarks/interruptions.py"
SEED = 200
MOMENTS = (
    "before anything was written",
    "while it was written beside the old one",
    "between the state and the swap",
    "after the swap",
)


def kills(killed: Iterable[Killed]) -> None:
    """How many kills there were, when, and what stood there afterwards. The first that left no whole site ends it."""
    every = list(killed)
    whats, moments = Counter(one.what for one in every), Counter(one.moment for one in every)
    found = Counter(one.found for one in every)
    figures = [
        Figure("builds killed", f"{len(every)}", "200", len(every) >= 200),
        *(Figure(f"killed: {what}", f"{number}") for what, number in whats.items()),
        *(Figure(f"killed {moment}", f"{moments[moment]}", "1 or more", moments[moment] > 0) for moment in MOMENTS),
        Figure("afterwards the old one was there, whole", f"{found['old']}"),
        Figure("afterwards the new one was there, whole", f"{found['new']}"),
        Figure("afterwards something else was there", "0", "0", True),
        Figure("next builds that failed, or left something beside", "0", "0", True),
    ]
    notes = [
        "SIGKILL for the whole group of processes. Half of the moments are spread over the whole build; half come "
        "while the new site stands beside the old one, or its calendars are being noted. One in five meets a new "
        "interpreter, the others a child of one that has the program in memory.",
        "The run stops at the first site that is not whole, so it has figures only if there was none.",
        "Besides, tests/steady/test_every_step.py ends a build before each single step on the disk, with no chance "
        "in it; test_full_disk.py and test_two_at_once.py try full disks, read-only disks and builds side by side.",
    ]
    keep("interruption", "Interruption", 20, f"{COMMAND} kills", figures, notes)


def identical(compared: Iterable[Compared], folder: Path) -> None:
    """Every kind of build in two places, and what is installed."""
    figures, files = [], 0
    for done in compared:
        print(done.what, done.files, done.difference or "the same", flush=True)
        files += done.files
        said = "the same" if not done.difference else "not the same"
        count = f"{done.files} file{'s' * (done.files != 1)}"
        figures.append(Figure(f"{done.what}, two builds", f"{count}, {said}", "the same bytes", not done.difference))
    one = make_wheel(folder / "wheel one", 0o022)
    other = make_wheel(folder / "wheel two/ñ", 0o077, ("faketime", "-f", "+1d"))
    found = difference(one, other)
    print("wheel", found or "the same", flush=True)
    said = "the same" if not found else "not the same"
    figures.append(Figure("wheel and source archive, two builds", said, "the same bytes", not found))
    figures.append(Figure("files compared", f"{files + len(one)}"))
    notes = [
        "The two builds differ in folder (depth, spaces, letters beyond English), day (one apart), time zone, locale, "
        "hash seed, umask, cores used, and in the order in which the system lists files. Nothing is kept between them.",
        "The rights of published files are compared too.",
    ]
    keep("identical", "Identical bytes", 30, f"{COMMAND} identical", figures, notes)


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as name:
        if sys.argv[1] == "kills":
            kills(many_kills(Path(name), SEED))
        else:
            identical(compare_all(Path(name) / "demo"), Path(name))
