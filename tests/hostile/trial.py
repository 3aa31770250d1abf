"""One spoilt file at a time: put it into the manual, let Earleaf read it, and hold what comes out against the promise.

The promise: a mistake in a file is told as findings, each with file, line, what was found and what to do. Nothing raises
but what is written down, nothing takes longer than `LIMIT_S`, and nothing is written outside the output.
"""
# ruff: noqa: E501  (the data below is written as its authors write it, one record a line)

from __future__ import annotations

import signal
import time
import traceback
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from random import Random
from types import FrameType

from mutate import mutate
from whole_manual import KINDS, OF_LANGUAGES, OF_THE_TEAM, PLANTINGS, SEEN, TODAY, grounds

from earleaf.database.manual import ManualDatabase
from earleaf.model.finding import Finding
from earleaf.site.build import Prepared, build_plain, prepare
from earleaf.site.cards import CannotBuild
from earleaf.site.private import Asked, BadLists, make_season
from earleaf.site.publish import NotOurs

LIMIT_S = 5
LONGEST = 1500
"""Letters of a message or a hint: more is not read, and may be a whole file pasted into a terminal."""
ALLOWED = (OSError, NotOurs, CannotBuild, BadLists)


class TooSlow(BaseException):
    """A case took longer than it may. Not an Exception, so that nobody swallows it."""


@dataclass(frozen=True)
class Outcome:
    """What came of one spoilt file. `fault` is empty where the promise held."""

    kind: str
    file: str
    how: str
    seed: int
    seconds: float
    errors: int
    built: bool = False
    fault: str = ""

    def __str__(self) -> str:
        return f"seed {self.seed}, {self.file}, spoilt by {self.how}: {self.fault}"


@contextmanager
def watched(seconds: float = LIMIT_S) -> Iterator[None]:
    """Ends the body with TooSlow when it has used its time of the processor, or waits for ever."""

    def over(signum: int, frame: FrameType | None) -> None:
        raise TooSlow("".join(traceback.format_stack(frame, limit=6)))

    clocks = ((signal.SIGPROF, signal.ITIMER_PROF, seconds), (signal.SIGALRM, signal.ITIMER_REAL, 20 * seconds))
    before = [signal.signal(sign, over) for sign, _, _ in clocks]
    for _, clock, limit in clocks:
        signal.setitimer(clock, limit)
    try:
        yield
    finally:
        for (sign, clock, _), old in zip(clocks, before, strict=True):
            signal.setitimer(clock, 0)
            signal.signal(sign, old)


def unfit(findings: Iterable[Finding]) -> str:
    """What is wrong with the first finding that does not say what it must; "" if all do."""
    for f in findings:
        for what, text in (("file", f.file), ("rule", f.rule), ("message", f.message)):
            if not text:
                return f"a finding without {what}: {f}"
        if f.line < 0:
            return f"a finding with line {f.line}"
        if f.level == "error" and not f.hint:
            return f"a finding without a hint: {f}"
        if any(not c.isprintable() and c != "\n" for c in f"{f.file}{f.message}{f.hint}"):
            return f"a finding that cannot be printed: {f!r}"[:500]
        if max(len(f.message), len(f.hint)) > LONGEST:
            return f"a finding of {max(len(f.message), len(f.hint)):,} letters: {f.rule} {f.message[:80]}"
    return ""


class Trials:
    """The manual on disk, with one file at a time spoilt; each is put right again afterwards."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.english, self.both = grounds(folder / "grounds")
        self.manuals = [g.put(folder / name / "manual") for g, name in ((self.english, "one"), (self.both, "two"))]
        self.prepared = prepare(self.manuals[0], TODAY)
        assert not self.prepared.errors

    def names(self) -> list[tuple[str, str]]:
        """(kind, file) of every file that can be spoilt; each kind has the same weight."""
        most = max(len(files) for files in KINDS.values())
        return [(kind, files[i % len(files)]) for i in range(most) for kind, files in KINDS.items()]

    def one(self, seed: int, *, build: bool = False) -> Outcome:
        """Try the file that a seed stands for."""
        names = self.names()
        kind, name = names[seed % len(names)]
        two = kind in OF_LANGUAGES
        ground, manual = (self.both if two else self.english), self.manuals[two]
        how, spoilt = mutate(seed, name, ground.files[name])
        path = manual.parent / name
        path.write_bytes(spoilt)
        start, errors, built, fault = time.process_time(), 0, False, ""
        try:
            with watched(LIMIT_S * (3 if build else 1)):
                found, built = self._team(manual, seed) if kind in OF_THE_TEAM else self._manual(manual, build)
            errors, fault = sum(f.level == "error" for f in found), unfit(found)
        except TooSlow as error:
            fault = f"too slow\n{error}"
        except Exception:
            fault = traceback.format_exc(limit=-6)
        finally:
            path.write_bytes(ground.files[name])
            if "feeds.json" in ground.files:
                (manual.parent / "feeds.json").write_bytes(ground.files["feeds.json"])
        return Outcome(kind, name, how, seed, time.process_time() - start, errors, built, fault)

    def _manual(self, manual: Path, build: bool) -> tuple[list[Finding], bool]:
        prepared = prepare(manual, TODAY)
        if build and not prepared.errors and prepared.manual is not None:
            return self._built(prepared, manual)
        return prepared.findings, False

    def _built(self, prepared: Prepared, manual: Path) -> tuple[list[Finding], bool]:
        try:
            build_plain(prepared, manual.parent.parent / "site")
        except CannotBuild as error:
            return [*prepared.findings, *error.findings], True
        except (OSError, NotOurs):
            pass
        return prepared.findings, True

    def _team(self, manual: Path, seed: int) -> tuple[list[Finding], bool]:
        assert isinstance(self.prepared.db, ManualDatabase) and self.prepared.manual is not None
        home = manual.parent
        seen = home / SEEN if Random(seed).random() < 0.9 else None
        asked = Asked(manual, home / PLANTINGS, seen, home.parent / "private", TODAY)
        try:
            return make_season(self.prepared.db, self.prepared.manual, asked)[1], True
        except BadLists as error:
            return list(error.findings), False
        except (OSError, NotOurs):
            return [], False
