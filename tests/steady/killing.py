"""Builds that are killed, with all their children, at a moment of chance; and what then stands on the disk."""

from __future__ import annotations

import os
import random
import shutil
import time
from collections.abc import Callable, Iterator
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from tried import Surroundings, Tree, beside, corn_edition, corn_manual, difference, kill, small_edition, tree

from earleaf import cli
from earleaf.site import mkdocs_shell as _loaded_once  # noqa: F401
from earleaf.site.publish import put, write

Words = tuple[str | Path, ...]
WATCHED_S = 120.0


class ForkedProcess:
    """What Popen gives, as far as it is asked for here."""

    def __init__(self, words: list[str], around: Surroundings) -> None:
        self.returncode: int | None = None
        self.pid = os.fork()
        if self.pid:
            return
        try:
            os.setsid()
            os.chdir(around.cwd)
            os.environ |= {"XDG_CACHE_HOME": str(around.cache), "NO_MKDOCS_2_WARNING": "1"}
            with open(os.devnull, "w") as quiet, redirect_stdout(quiet), redirect_stderr(quiet):
                os._exit(cli.main(words))
        finally:
            os._exit(70)

    def poll(self) -> int | None:
        if self.returncode is None and (ended := os.waitpid(self.pid, os.WNOHANG))[0]:
            self.returncode = os.waitstatus_to_exitcode(ended[1])
        return self.returncode

    def communicate(self, timeout: float = WATCHED_S) -> tuple[str, str]:
        until = time.monotonic() + timeout
        while self.poll() is None and time.monotonic() < until:
            time.sleep(0.002)
        return "", ""


class Forked(Surroundings):
    """The command in a child of this process, which has the program in memory: only the work itself is left to do."""

    def start(self, *words: str | Path) -> Any:
        return ForkedProcess([str(word) for word in words], self)


@dataclass(frozen=True)
class Killed:
    """One build that did not come to its end. `moment` is told from what it had left on the disk."""

    what: str
    found: str
    moment: str


@dataclass
class Trial:
    """One thing that is built: its old and its new state, and the state of its calendars that belongs to each."""

    what: str
    words: Words
    out: Path
    around: Forked
    chance: random.Random
    state: Path | None = None
    old: Tree = field(default_factory=dict)
    new: Tree = field(default_factory=dict)
    states: tuple[bytes | None, bytes | None] = (None, None)
    whole_s: float = 1.0
    start_s: float = 1.0
    publish_s: float = 0.01

    def learn(self, change: Callable[[], object]) -> None:
        """Build the old one, change its inputs, build the new one. The first build fills the cache."""
        self.build()
        self.old, before = tree(self.out), self._state()
        change()
        self.build()
        self.new, self.states = tree(self.out), (before, self._state())
        assert self.old != self.new, "nothing would be seen of a kill"

    def build(self) -> None:
        began = time.monotonic()
        self.around.run(*self.words, "--out", self.out)
        self.whole_s = time.monotonic() - began

    def _state(self) -> bytes | None:
        return self.state.read_bytes() if self.state and self.state.exists() else None

    def put_back(self) -> None:
        """The old one, in place of what is there."""
        if "" in self.old:
            put(self.old[""], self.out)
        elif tree(self.out) != self.old:
            shutil.rmtree(self.out)
            write(self.old, self.out)
        if self.state and self.states[0] is not None:
            self.state.write_bytes(self.states[0])

    def kill(self, publishing: bool, cold: bool = False, fresh: bool = False) -> Killed | None:
        """One build, killed; None if it was at its end before. Raises AssertionError if what stands there is not whole.

        `publishing`: not before the new one begins to stand beside the old one, or its calendars are being noted.
        `cold`: with nothing in the cache. `fresh`: by an interpreter that has to start first.
        """
        if cold:
            shutil.rmtree(self.around.cache, ignore_errors=True)
        around = Surroundings(self.around.cwd, self.around.cache) if fresh else self.around
        process = around.start(*self.words, "--out", self.out)
        if publishing:
            self._wait_for_publishing(process.poll)
            time.sleep(self.chance.uniform(0, 1.2 * self.publish_s))
        else:
            time.sleep(self.chance.uniform(0, self.whole_s + fresh * self.start_s))
        ended = process.poll() is not None
        kill(process)
        if publishing:
            self.publish_s = min(1.0, max(0.002, (0.8 if ended else 1.05) * self.publish_s))
        found = self.found()
        return None if ended else Killed(self.what, found, self._moment(found))

    def _wait_for_publishing(self, ended: Callable[[], int | None]) -> None:
        folder, start = self.out.parent, f".{self.out.name}-new-"
        if self.state and self.chance.random() < 0.5:
            folder, start = self.state.parent, f".{self.state.name}-"
        until = time.monotonic() + WATCHED_S
        while time.monotonic() < until and ended() is None:
            if any(name.startswith(start) for name in os.listdir(folder)):
                return
            time.sleep(0.0005)

    def found(self) -> str:
        """Which one stands there, whole; and the state of its calendars is not behind it."""
        now, state = tree(self.out), self._state()
        assert now in (self.old, self.new), f"{self.what}: {difference(now, self.old)}; {difference(now, self.new)}"
        assert state in self.states, f"{self.what}: the state of the calendars is damaged"
        assert now == self.old or state == self.states[1], f"{self.what}: the state of the calendars is behind the site"
        return "old" if now == self.old else "new"

    def _moment(self, found: str) -> str:
        if found == "new":
            return "after the swap"
        begun = [name for name in beside(self.out) if name.startswith(f".{self.out.name}-new-")]
        if self.state and self._state() == self.states[1]:
            return "between the state and the swap"
        return "while it was written beside the old one" if begun else "before anything was written"

    def mend(self) -> None:
        """The next build: it makes the new one, whole, and leaves nothing beside."""
        self.build()
        assert not (found := difference(tree(self.out), self.new)), f"{self.what}: {found}"
        assert self._state() == self.states[1]
        rest = [name for name in beside(self.out) if name.startswith(f".{self.out.name}-")]
        assert not rest, f"{self.what}: left beside: {rest}"
        if self.state:
            assert not [name for name in beside(self.state) if name.startswith(f".{self.state.name}-")]


def corn_trials(folder: Path, seed: int) -> Iterator[Trial]:
    """Both shells with cards and calendars, the copy in one file, the team's own season, cards alone."""
    for name, words, out in (
        ("plain shell", ("build", "--plain"), "site"),
        ("MkDocs shell", ("build",), "site"),
        ("offline copy", ("build", "--offline"), "copy.zip"),
        ("own season", ("season", "--today", "2027-06-14"), "own"),
        ("cards", ("cards", "--paper", "letter"), "cards.pdf"),
    ):
        own = folder / name.replace(" ", "-")
        manual = corn_manual(own / "manual")
        lists: Words = ()
        if name == "own season":
            lists = ("--plantings", manual.parent / "plantings.csv", "--seen", manual.parent / "seen.csv")
        (own / "out").mkdir()
        feeds = manual.parent / "feeds.json" if name.endswith("shell") else None
        around = Forked(own, own / "cache")
        trial = Trial(name, (*words, *lists, "-m", manual), own / "out" / out, around, random.Random(seed), feeds)
        trial.learn(lambda manual=manual: _next_edition(manual))
        yield trial


def _next_edition(manual: Path) -> None:
    corn_edition(manual.parent, 1)
    listed = manual.parent / "plantings.csv"
    listed.write_text(listed.read_text("utf-8").replace("2027-04-28", "2027-05-02"), "utf-8")
    text = manual.read_text("utf-8")
    manual.write_text(text.replace("team: Wrenfold Crop Advice", "team: Wrenfold Field Advice"), "utf-8")


def small_trial(folder: Path, seed: int) -> Trial:
    """The small manual without cards, by a process that has read the program already: quick to build."""
    manual = small_edition(folder / "manual", 0)
    (folder / "out").mkdir()
    words: Words = ("build", "--plain", "--no-cards", "-m", manual)
    around = Forked(folder, folder / "cache")
    trial = Trial("plain shell", words, folder / "out/site", around, random.Random(seed))
    trial.learn(lambda: small_edition(folder / "manual", 1))
    return trial


KILLS = {"plain shell": 90, "MkDocs shell": 50, "offline copy": 20, "own season": 20, "cards": 20}


def many_kills(folder: Path, seed: int, share: float = 1.0) -> Iterator[Killed]:
    """200 kills, each followed by the next build. Half come while publishing; one in five meets a new interpreter."""
    for trial in corn_trials(folder, seed):
        done = 0
        while done < KILLS[trial.what] * share:
            trial.put_back()
            cold = trial.chance.random() < 0.1
            killed = trial.kill(publishing=done % 2 == 0, cold=cold, fresh=done % 5 == 0)
            if killed is not None:
                done += 1
                yield killed
            trial.mend()
