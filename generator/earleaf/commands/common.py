"""What the verbs share: the manual, what is said of findings, and how a refusal becomes a message and an exit code."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import NoReturn

from ..database.load import Database
from ..model.finding import Finding
from ..model.manual import Manual
from ..site.build import Prepared, prepare
from ..site.cards import CannotBuild
from ..site.join import BadPart
from ..site.offline import TooBig
from ..site.private import BadLists
from ..site.publish import NotOurs, why

FINE, FINDINGS, USAGE, FAILED = 0, 1, 2, 3

Today = Callable[[], date]
"""The clock, as `main` hands it to each verb."""


class Refused(Exception):
    """Ends a verb. `main` prints the line as an error, if there is one, and gives the exit code."""

    def __init__(self, code: int, line: str = "") -> None:
        super().__init__(line)
        self.code, self.line = code, line


def usage(said: object) -> Refused:
    """The refusal of what was typed."""
    return Refused(USAGE, f"earleaf: {said}")


def failed(done: str, error: Exception, target: Path) -> Refused:
    """The refusal for a fault of the surroundings. `done` is what was not done to `target`, such as "built"."""
    return Refused(FAILED, f"earleaf: not {done}: {why(error, target)}")


@contextmanager
def writing(done: str, target: Path, db: Database) -> Iterator[None]:
    """Turn whatever stops a body that writes `target` into a refusal; the target is then as it was."""
    try:
        yield
    except CannotBuild as error:
        refuse(error.findings, db, f"not {done}; {target} is as it was")
    except BadLists as error:
        tell(error.findings)
        errors = many(sum(f.level == "error" for f in error.findings), "error")
        raise Refused(FINDINGS, f"{errors}. Not {done}; {target} is as it was") from error
    except (OSError, NotOurs, TooBig, BadPart) as error:
        raise failed(done, error, target) from error


def find_manual(given: Path | None) -> Path:
    """The manual.yml that was given, or the usual one. Refuses where there is none."""
    if given is not None:
        path = given / "manual.yml" if given.is_dir() else given
        if path.exists():
            return path
        raise usage(f"there is no {path}")
    for path in (Path("manual.yml"), Path("demo_scenario/manual.yml")):
        if path.exists():
            return path
    raise usage("no manual.yml here. Give one with --manual, or start one: earleaf new manual my-manual")


def sound(path: Path, today: Today, line: str = "") -> tuple[Prepared, Manual]:
    """The manual at `path`, read and checked. Refuses one with errors, with `line` as the last word."""
    prepared = prepare(path, today())
    if prepared.errors or prepared.manual is None:
        refuse(prepared.findings, prepared.db, line)
    return prepared, prepared.manual


def refuse(findings: Sequence[Finding], db: Database, line: str = "") -> NoReturn:
    """Report the findings, and end the verb."""
    report(findings, db)
    raise Refused(FINDINGS, line)


def report(findings: Sequence[Finding], db: Database) -> None:
    """Print all findings, and a line that counts them and what was read."""
    tell(findings)
    errors = sum(f.level == "error" for f in findings)
    protocols = sum(len(c.protocols) for c in db.crops.values())
    rows = len(db.sampling) + len(db.handling_rows)
    print(
        f"{many(errors, 'error')}, {many(len(findings) - errors, 'warning')} in {many(len(db.crops), 'crop')}, "
        f"{many(protocols, 'protocol')}, {many(len(db.labs), 'lab')}, {many(rows, 'published row')}, "
        f"{many(len(db.sources), 'source')}"
    )


def tell(findings: Iterable[Finding]) -> None:
    """Print findings."""
    for finding in findings:
        print(finding)


def many(count: int, what: str) -> str:
    """A count with its noun, such as "1 card" or "2 cards"."""
    return f"{count} {what}{'s' * (count != 1)}"
