"""What a rule is: a name, one line about it, and a check that yields findings."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date

from ...model.finding import Finding, Level
from ..load import Database
from ..near import near as near


@dataclass(frozen=True)
class Context:
    """What a rule may look at besides the database. The clock is read by the command, not here."""

    today: date
    demo: bool = False


Check = Callable[[Database, Context], Iterable[Finding]]


@dataclass(frozen=True)
class Rule:
    """One rule. `about` is what the documentation says of it."""

    name: str
    about: str
    check: Check


class Faults:
    """Makes findings of one rule, each at the line of a record's path."""

    def __init__(self, db: Database, rule: str) -> None:
        self.db, self.rule = db, rule

    def at(
        self, kind: str, key: str, path: tuple[str | int, ...], message: str, hint: str = "", level: Level = "error"
    ) -> Finding:
        file, line = self.db.places.at(kind, key, *path)
        return Finding(file or f"{kind} {key}", line, self.rule, message, hint, level)

    def row(self, row: str, message: str, hint: str = "", level: Level = "error") -> Finding:
        file, line = self.db.places.rows.get(row, ("", 0))
        return Finding(file, line, self.rule, message, hint, level)
