"""Folders of YAML and CSV to one Database. Every fault is collected; nothing stops at the first."""

from __future__ import annotations

import re
from collections.abc import Callable, Container, Iterable
from dataclasses import dataclass, field
from functools import lru_cache
from hashlib import sha256
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel

from ..model.base import ID_PATTERN
from ..model.crop import Crop
from ..model.evidence import HandlingRow, SamplingRow, TimingRow
from ..model.finding import Finding
from ..model.lab import Lab
from ..model.source import Source, SourceFile
from ..model.stages import Stage, StageSystem
from ..model.vocabulary import (
    Caution,
    CautionFile,
    Fault,
    FaultFile,
    Group,
    Handling,
    HandlingFile,
    HandlingTopic,
    Part,
    PartFile,
    Unit,
    UnitFile,
)
from .files import decode, is_folder, read_bytes, real
from .places import Places
from .tables import Rows, read_rows
from .validate import build
from .yaml_lines import Parsed, parse_yaml

R = TypeVar("R", bound=BaseModel)
MAX_BYTES = 5_000_000
"""No file of the database is read further. Each kind of file has a limit of its own below this one."""


@dataclass
class Database:
    """Everything known, keyed by id. Read by the rules, by planning and by the views; never changed after loading.

    `left_out` are crops of the database that this manual does not show. `unread` are (kind, id) of what is there but
    faulty, ("source", "") for all of a kind: one fault in a file must not make every use of it a fault too.
    `digests` are of the bytes of each file that was read: equal digests, equal records.
    """

    sources: dict[str, Source] = field(default_factory=dict)
    parts: dict[str, Part] = field(default_factory=dict)
    units: dict[str, Unit] = field(default_factory=dict)
    cautions: dict[str, Caution] = field(default_factory=dict)
    faults: dict[str, Fault] = field(default_factory=dict)
    cautions_always: tuple[str, ...] = ()
    caution_footer: str = ""
    handling: dict[HandlingTopic, Handling] = field(default_factory=dict)
    groups: dict[str, Group] = field(default_factory=dict)
    systems: dict[str, StageSystem] = field(default_factory=dict)
    stages: dict[str, tuple[Stage, ...]] = field(default_factory=dict)
    crops: dict[str, Crop] = field(default_factory=dict)
    labs: dict[str, Lab] = field(default_factory=dict)
    sampling: dict[str, SamplingRow] = field(default_factory=dict)
    handling_rows: dict[str, HandlingRow] = field(default_factory=dict)
    timing: dict[str, TimingRow] = field(default_factory=dict)
    published_ids: dict[str, tuple[str, int]] = field(default_factory=dict)
    left_out: dict[str, Crop] = field(default_factory=dict)
    unread: set[tuple[str, str]] = field(default_factory=set)
    digests: dict[str, str] = field(default_factory=dict)
    places: Places = field(default_factory=Places)
    findings: list[Finding] = field(default_factory=list)

    def stage_index(self, system: str, code: str) -> int | None:
        """Position of a stage code in its system, or None."""
        for i, stage in enumerate(self.stages.get(system, ())):
            if stage.code == code:
                return i
        return None

    def is_missing(self, kind: str, name: str, known: Container[str]) -> bool:
        """Whether a name is neither known nor in a file that could not be read."""
        return name not in known and not self.unread & {(kind, name), (kind, "")}

    def every_crop(self) -> dict[str, Crop]:
        """Crops of the database, in this manual or not."""
        return {**self.crops, **self.left_out}


class Loader:
    """Reads files into a Database; `root` is what file names in findings are relative to."""

    def __init__(self, root: Path) -> None:
        self.root = real(root)
        self.db = Database()

    def name(self, path: Path) -> str:
        try:
            return real(path).relative_to(self.root).as_posix()
        except ValueError:
            return path.as_posix()

    def fault(self, path: Path, line: int, rule: str, message: str, hint: str = "") -> None:
        self.db.findings.append(Finding(self.name(path), line, rule, message, hint))

    def protocols(self, folder: Path) -> None:
        """Load a whole protocols folder."""
        if not is_folder(folder):
            self.fault(
                folder, 0, "missing-file", "there is no such folder", "give the folder that holds crops/ and evidence/"
            )
            return
        self.sources(folder / "sources.yml")
        self._one(folder / "vocabulary/plant-parts.yml", PartFile, "part", self._parts)
        self._one(folder / "vocabulary/units.yml", UnitFile, "unit", self._units)
        self._one(folder / "vocabulary/cautions.yml", CautionFile, "caution", self._cautions)
        self._one(folder / "vocabulary/faults.yml", FaultFile, "fault", self._faults)
        self._one(folder / "handling.yml", HandlingFile, "handling", self._handling)
        self._each(folder / "groups", Group, "group", self.db.groups)
        self._each(folder / "stages", StageSystem, "system", self.db.systems)
        for system in self.db.systems.values():
            self.db.stages[system.system] = system.expanded()
        self._each(folder / "crops", Crop, "crop", self.db.crops)
        self.labs(folder / "labs")
        for path in sorted((folder / "evidence").glob("sampling*.csv")):
            self._table(path, SamplingRow, "row", self.db.sampling)
        for path in sorted((folder / "evidence").glob("handling*.csv")):
            self._table(path, HandlingRow, "handling row", self.db.handling_rows)
        for path in sorted((folder / "evidence").glob("timing*.csv")):
            self._table(path, TimingRow, "timing row", self.db.timing)
        self._published(folder / "published-ids.txt")

    def sources(self, path: Path) -> None:
        self._one(path, SourceFile, "source", self._sources)

    def labs(self, folder: Path) -> None:
        self._each(folder, Lab, "lab", self.db.labs)

    def read(self, path: Path, record: type[R]) -> tuple[R | None, Parsed]:
        """One YAML file as a record; faults go to the findings."""
        data = self.bytes_of(path)
        if data is None:
            return None, Parsed()
        value, parsed, found = _record(record, data, self.name(path))
        self.db.findings += found
        return value, parsed

    def bytes_of(self, path: Path) -> bytes | None:
        """The content of a file; None, and a finding, if it cannot be read."""
        try:
            data = read_bytes(path, MAX_BYTES)
        except OSError as error:
            self.fault(path, 0, "missing-file", f"cannot be read: {error.strerror or error}", "check the name")
            return None
        self.saw(path, data)
        return data

    def saw(self, path: Path, data: bytes) -> None:
        """Note what a file held."""
        self.db.digests[self.name(path)] = sha256(data).hexdigest()

    def _one(self, path: Path, record: type[R], kind: str, keep: Callable[[R, str, Parsed], None]) -> None:
        value, parsed = self.read(path, record)
        if value is None:
            self.db.unread.add((kind, ""))
        else:
            keep(value, self.name(path), parsed)

    def _each(self, folder: Path, record: type[R], key: str, into: dict[str, R]) -> None:
        if not is_folder(folder):
            return
        for path in sorted(folder.glob("*.y*ml")):
            if not re.match(ID_PATTERN, path.stem):
                self.fault(
                    path,
                    0,
                    "bad-form",
                    f"the file name {path.name!r} is not an id",
                    "small letters, digits and single hyphens, such as dry-bean.yml",
                )
                continue
            value, parsed = self.read(path, record)
            if value is None:
                self.db.unread.add((key, path.stem))
                continue
            said = getattr(value, key)
            if said != path.stem:
                self.db.unread |= {(key, path.stem), (key, said)}
                self.fault(
                    path,
                    parsed.line((key,)),
                    "id-is-not-file-name",
                    f"{key} is {said!r} in a file called {path.name}",
                    "make them the same",
                )
                continue
            if said in into:
                self.fault(
                    path,
                    parsed.line((key,)),
                    "duplicate-id",
                    f"{key} {said!r} is also in {self.db.places.at(key, said)[0]}",
                    "keep one of the two files",
                )
                continue
            into[said] = value
            self.db.places.put(key, said, self.name(path), parsed)

    def _keyed(
        self, kind: str, items: Iterable[BaseModel], into: dict[str, R], file: str, parsed: Parsed, key: str
    ) -> None:
        for i, item in enumerate(items):
            ident = item.id  # type: ignore[attr-defined]
            if ident in into:
                self.db.findings.append(
                    Finding(
                        file,
                        parsed.line((key, i)),
                        "duplicate-id",
                        f"{kind} {ident!r} is here twice",
                        "rename one of them",
                    )
                )
                continue
            into[ident] = item  # type: ignore[assignment]
            self.db.places.put(kind, ident, file, parsed, (key, i))

    def _sources(self, value: SourceFile, file: str, parsed: Parsed) -> None:
        self._keyed("source", value.sources, self.db.sources, file, parsed, "sources")

    def _parts(self, value: PartFile, file: str, parsed: Parsed) -> None:
        self._keyed("part", value.parts, self.db.parts, file, parsed, "parts")

    def _units(self, value: UnitFile, file: str, parsed: Parsed) -> None:
        self._keyed("unit", value.units, self.db.units, file, parsed, "units")

    def _cautions(self, value: CautionFile, file: str, parsed: Parsed) -> None:
        self._keyed("caution", value.cautions, self.db.cautions, file, parsed, "cautions")
        self.db.cautions_always, self.db.caution_footer = value.always, value.footer
        self.db.places.put("cautions", "file", file, parsed)

    def _faults(self, value: FaultFile, file: str, parsed: Parsed) -> None:
        self._keyed("fault", value.faults, self.db.faults, file, parsed, "faults")

    def _handling(self, value: HandlingFile, file: str, parsed: Parsed) -> None:
        self.db.handling = dict(value.handling)
        self.db.places.put("handling", "base", file, parsed)

    def _table(self, path: Path, record: type[R], kind: str, into: dict[str, R]) -> None:
        data = self.bytes_of(path)
        if data is None:
            self.db.unread.add((kind, ""))
            return
        name = self.name(path)
        rows, found, lost = _rows(record, data, name)
        self.db.findings += found
        self.db.unread |= {(kind, name) for name in lost}
        for line, row in rows:
            ident = row.row
            if ident in into:
                self.fault(path, line, "duplicate-id", f"row {ident!r} is here twice", "give one a new id")
                continue
            into[ident] = row
            self.db.places.rows[ident] = (name, line)

    def _published(self, path: Path) -> None:
        """Ids that were once published, one a line: `corn/tassel-silk c7k2`."""
        if not path.exists():
            return
        data = self.bytes_of(path)
        text, wrong = decode(data or b"", self.name(path))
        self.db.findings += [wrong] if wrong else []
        for number, line in enumerate(text.splitlines(), 1):
            words = line.split("#")[0].split()
            if words:
                self.db.published_ids[words[0]] = (words[1] if len(words) > 1 else "", number)
                self.db.places.rows[f"published:{words[0]}"] = (self.name(path), number)


@lru_cache(maxsize=1_000)
def _record(record: type[Any], data: bytes, name: str) -> tuple[Any, Parsed, tuple[Finding, ...]]:
    """A YAML file as a record, with its lines and its faults. The same bytes are read once, however often asked."""
    parsed = parse_yaml(data, name)
    value, found = build(record, parsed, name)
    return value, parsed, (*parsed.findings, *found)


@lru_cache(maxsize=100)
def _rows(record: type[R], data: bytes, name: str) -> Rows[R]:
    """A CSV file as records, the same way."""
    return read_rows(record, data, name)


def load_protocols(folder: Path, root: Path | None = None) -> Database:
    """The database of one protocols folder, with its loading faults in `findings`."""
    loader = Loader(root or folder.parent)
    loader.protocols(folder)
    return loader.db
