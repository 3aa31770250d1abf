"""The team's own lists, `plantings.csv` and `seen.csv`, to checked plantings. Every fault is told with its line.

They are never part of a manual: nothing that builds the public site reads them.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from difflib import get_close_matches
from itertools import pairwise
from typing import TypeVar

from pydantic import BaseModel

from ..model.crop import Crop
from ..model.development import Development
from ..model.finding import Finding, Level
from ..model.planting import Planting, Sighting, slug
from ..model.region import PLANTING, Region
from .manual import ManualDatabase
from .maturity import Maturity, read_maturity
from .near import near
from .plantings import events, planted, runs_by_itself
from .tables import read_rows
from .timing import codes_of

R = TypeVar("R", bound=BaseModel)
COLUMNS = {
    Planting: ("id", "crop", "planted", "station", "lab"),
    Sighting: ("id", "stage", "day"),
}
"""Columns that a list must have."""


@dataclass(frozen=True)
class OwnPlanting:
    """A planting with what it names. `model` is None where no timing is published.

    `maturity` is None where none is given, and empty where no published figure goes with what is given. `sightings`
    are in order of their day.
    """

    planting: Planting
    crop: Crop
    model: Development | None
    region: Region
    maturity: Maturity | None = None
    sightings: tuple[Sighting, ...] = ()


@dataclass(frozen=True)
class ListFile:
    """One list as bytes, and its name in findings."""

    name: str
    data: bytes


class _Told:
    """Findings of one file."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.findings: list[Finding] = []

    def add(self, line: int, message: str, hint: str, rule: str = "planting-list", level: Level = "error") -> None:
        self.findings.append(Finding(self.file, line, rule, message, hint, level))


def read_plantings(
    plantings: ListFile, seen: ListFile | None, db: ManualDatabase, today: date
) -> tuple[tuple[OwnPlanting, ...], list[Finding]]:
    """Every good planting in the order of the list with what was seen in it, and all that is wrong in both lists.

    Nothing in the bytes raises. Use the plantings only where no finding is an error.
    """
    told = _Told(plantings.name)
    rows, lost = _rows(Planting, plantings, told)
    own: dict[str, OwnPlanting] = {}
    lines: dict[str, int] = {}
    for line, row in rows:
        if row.id in lines:
            told.add(line, f"id {row.id!r} is here twice (first on line {lines[row.id]})", "give each planting its own")
            continue
        lines[row.id] = line
        found = _planting(db, row, line, told)
        if found is not None:
            own[row.id] = found
        else:
            lost.add(row.id)
    if not rows and not told.findings:
        told.add(1, "there is no planting in this list", "put one row for each planting below the names", "empty-file")
    findings = told.findings
    saw: list[tuple[int, Sighting]] = []
    if seen is not None:
        told_seen = _Told(seen.name)
        saw = _rows(Sighting, seen, told_seen)[0]
        _sightings(db, own, lost, saw, told_seen, today)
        findings += told_seen.findings
    _scouts([(plantings.name, line, row.scout) for line, row in rows], seen, saw, findings)
    return tuple(own.values()), sorted(set(findings))


def _rows(record: type[R], file: ListFile, told: _Told) -> tuple[list[tuple[int, R]], set[str]]:
    """The rows that fit, with their lines, and the ids of the others; "" for all of them."""
    head = file.data.decode("utf-8-sig", "replace").lstrip("\r\n").splitlines()[:1]
    names = [name.strip().strip('"') for name in head[0].split(",")] if head else []
    start = f"start with: {','.join(record.model_fields)}"
    if len(names) == 1 and (";" in names[0] or "\t" in names[0]):
        what = "semicolons" if ";" in names[0] else "tabs"
        told.add(
            1, f"the columns are set apart by {what}", "save the list again with commas between the columns", "bad-csv"
        )
        return [], {""}
    strange = [name for name in names if name not in record.model_fields]
    missing = [name for name in COLUMNS[record] if name not in names and not get_close_matches(name, strange)]
    rows, found, lost = read_rows(record, file.data, file.name)
    unread = any(f.rule in ("file-too-large", "not-utf-8", "empty-file") for f in found)
    if missing and not unread:
        for name in missing:
            told.add(1, f"there is no column {name!r}", start, "missing-key")
        rows, found, lost = [], [f for f in found if f.line <= 1], {""}
    told.findings += found
    return rows, lost


def _planting(db: ManualDatabase, row: Planting, line: int, told: _Told) -> OwnPlanting | None:
    """The planting with what it names; None where something is not known."""
    before = len(told.findings)
    crop, model = _crop(db, row.crop, line, told)
    region = _region(db, row.station, line, told)
    if row.lab not in db.labs:
        told.add(line, f"unknown lab {row.lab!r}", near(row.lab, db.labs))
    if len(told.findings) > before and any(f.level == "error" for f in told.findings[before:]):
        return None
    if crop is None or region is None or not _day_fits(db, crop, model, region, row, line, told):
        return None
    own = OwnPlanting(row, crop, model, region)
    return own if row.maturity is None else _matured(db, own, row.maturity, line, told)


def _crop(db: ManualDatabase, key: str, line: int, told: _Told) -> tuple[Crop | None, Development | None]:
    """The crop and its timing model; a crop without a published timing is kept, with a warning."""
    name, _, wanted = key.partition("/")
    crop, model = planted(db, key)
    if crop is None:
        said = f"{name} is not in this manual" if name in db.left_out else f"unknown crop {name!r}"
        told.add(line, said, "add it to `crops:` of the manual" if name in db.left_out else near(name, db.crops))
    elif not crop.development:
        said = f"watch the crop: no published timing of {name} found"
        told.add(line, said, "it stays in the list without dates", level="warning")
    elif model is None:
        models = [f"{name}/{m.model}" for m in crop.development]
        said = f"{name} has no model {wanted!r}" if wanted else f"{name} has {len(models)} timing models"
        told.add(line, said, near(key, models) if wanted else f"name one: {', '.join(models)}")
    return crop, model


def _region(db: ManualDatabase, station: str, line: int, told: _Told) -> Region | None:
    """The region whose station it is. A region may be named itself, and must be where several share a station."""
    if station in db.regions and station in db.weather:
        return db.regions[station]
    mine = [name for name, weather in db.weather.items() if weather.station == station]
    if len(mine) == 1:
        return db.regions[mine[0]]
    if mine:
        told.add(line, f"station {station!r} serves {len(mine)} regions", f"name the region: {', '.join(sorted(mine))}")
    else:
        known = {weather.station for weather in db.weather.values()} | set(db.weather)
        hint = near(station, known) if known else "give the manual a region with a weather file"
        told.add(line, f"unknown station {station!r}", hint)
    return None


def _day_fits(
    db: ManualDatabase, crop: Crop, model: Development | None, region: Region, row: Planting, line: int, told: _Told
) -> bool:
    """Whether the planting day is there if the dates hang on it, and lies in the season."""
    if model is None:
        return True
    needs_day = PLANTING in events(db, crop, model) and not any(runs_by_itself(db, crop, leg) for leg in model.legs)
    if row.planted is None:
        if any(runs_by_itself(db, crop, leg) for leg in model.legs):
            return True
        said = f"planted is empty, and nothing starts the clock of {row.crop} by itself"
        told.add(line, said, "give the day, such as 2027-05-01")
        return False
    if region.holds(row.planted) or (not needs_day and row.planted < region.first_day):
        return True
    season = f"{region.first_day} to {region.last_day}"
    said = f"planted is {row.planted}, outside the season {season} of {region.region}"
    told.add(line, said, "correct the day, or give the manual a region with that season")
    return False


def _matured(db: ManualDatabase, own: OwnPlanting, text: str, line: int, told: _Told) -> OwnPlanting | None:
    """The planting with its maturity, in the words of its model; a warning where no published figure goes with it."""
    try:
        found = read_maturity(db, own.model, text)
    except ValueError as error:
        said, hint = error.args
        told.add(line, said, hint)
        return None
    if found == Maturity():
        said = f"no published figure moves the dates of {own.planting.crop} by maturity"
        told.add(line, said, "the dates are those of all kinds together; leave the cell empty", level="warning")
    return replace(own, maturity=found)


def _sightings(
    db: ManualDatabase,
    own: dict[str, OwnPlanting],
    lost: set[str],
    saw: Iterable[tuple[int, Sighting]],
    told: _Told,
    today: date,
) -> None:
    """Put each good sighting to its planting, in order of the day."""
    kept: dict[str, list[tuple[int, Sighting]]] = {}
    for line, sighting in saw:
        if sighting.id in own:
            if _seen_fits(db, own[sighting.id], sighting, line, told, today):
                kept.setdefault(sighting.id, []).append((line, sighting))
        elif not lost & {sighting.id, ""}:
            told.add(line, f"unknown planting {sighting.id!r}", near(sighting.id, own))
    for name, rows in kept.items():
        rows.sort(key=lambda row: (row[1].day, row[0]))
        codes = codes_of(db, own[name].crop)
        stages = [(line, s) for line, s in rows if s.stage in codes]
        for (_, old), (line, new) in pairwise(stages):
            if old.day == new.day:
                said = f"{name} has a second stage on {new.day}: {new.stage} beside {old.stage}"
                told.add(line, said, "keep one of the two rows")
            elif codes.index(new.stage) < codes.index(old.stage) and not _cut_between(rows, old, new, codes):
                said = f"{new.stage} on {new.day} comes before {old.stage}, which was seen on {old.day}"
                told.add(line, said, "a crop does not go back: correct one of the two rows")
        own[name] = replace(own[name], sightings=tuple(s for _, s in rows))


def _cut_between(rows: Iterable[tuple[int, Sighting]], old: Sighting, new: Sighting, codes: tuple[str, ...]) -> bool:
    """Whether a cut or another event lies between two stages, so that the crop began anew."""
    return any(s.stage not in codes and old.day <= s.day <= new.day for _, s in rows)


def _seen_fits(db: ManualDatabase, own: OwnPlanting, sighting: Sighting, line: int, told: _Told, today: date) -> bool:
    """Whether a sighting can be: a known stage, after planting, in the season, not in the future."""
    before = len(told.findings)
    codes, day, region = codes_of(db, own.crop), sighting.day, own.region
    known = (*codes, *(e for e in (events(db, own.crop, own.model) if own.model else ()) if e != PLANTING))
    if sighting.stage not in known:
        told.add(line, f"{own.crop.crop} has no stage {sighting.stage!r}", near(sighting.stage, known, 30))
    if own.planting.planted is not None and day < own.planting.planted:
        told.add(
            line, f"day is {day}, before {own.planting.planted}, the day of planting", "correct one of the two days"
        )
    if day > today:
        told.add(line, f"day is {day}, and today is {today}", "write down what was seen, not what is to come")
    elif not region.holds(day):
        said = f"day is {day}, outside the season {region.first_day} to {region.last_day} of {region.region}"
        told.add(line, said, "correct the day, or take the row out")
    return len(told.findings) == before


def _scouts(
    named: list[tuple[str, int, str | None]],
    seen: ListFile | None,
    saw: Iterable[tuple[int, Sighting]],
    findings: list[Finding],
) -> None:
    """Two scouts never share one calendar: names that give one file name must be one name."""
    first: dict[str, str] = {}
    every = named + [(seen.name, line, row.scout) for line, row in saw if seen is not None]
    for file, line, scout in every:
        if scout is None:
            continue
        other = first.setdefault(slug(scout), scout)
        if other != scout:
            said = f"scouts {other!r} and {scout!r} would share one calendar"
            findings.append(
                Finding(file, line, "planting-list", said, "write one person in one way, two in different ways")
            )
