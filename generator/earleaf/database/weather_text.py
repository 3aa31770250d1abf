"""The text of a weather file to plain values: its head, its columns, its rows, and the line of each."""

from __future__ import annotations

import csv
import math
import re
from dataclasses import dataclass, field
from datetime import date
from difflib import get_close_matches

from ..model.base import ID_PATTERN
from ..model.finding import Finding, Level

MAX_BYTES = 20_000_000
SHOWN = 5
"""So many findings of one kind are told one by one; the rest are counted."""
FIRST_YEAR, LAST_YEAR = "1600", "2200"
NAMES = ("date", "low", "high")
HEAD = ("station", "unit", "latitude", "invented")
PLACES = ("longitude", "lon", "lng", "lat", "position", "coordinates", "location", "address")
"""Head lines that tell more of where the station stands than anything here needs."""
NUMBER_LETTERS = "+-.0123456789"
MISSING = math.nan


class Told:
    """The findings of one file. Of each kind, the first few are told; the rest are counted."""

    def __init__(self, file: str) -> None:
        self.file, self.refused = file, False
        self._told: dict[tuple[str, str], list[Finding]] = {}
        self._rest: dict[tuple[str, str], tuple[int, int]] = {}

    def add(self, line: int, rule: str, message: str, hint: str, *, kind: str = "", level: Level = "error") -> None:
        """Tell one finding; `kind` parts the findings of one rule."""
        self.refused |= level == "error"
        told = self._told.setdefault((rule, kind), [])
        if len(told) < SHOWN:
            told.append(Finding(self.file, line, rule, message, hint, level))
        else:
            self.count(line, rule, kind)

    def count(self, line: int, rule: str, kind: str, more: int = 1) -> None:
        """Count `more` findings of a kind that was told before, the first of them at `line`."""
        at, so_far = self._rest.get((rule, kind), (line, 0))
        self._rest[rule, kind] = (at, so_far + more)

    def findings(self) -> list[Finding]:
        """All of them; the last of a kind stands for those that were only counted."""
        out = [finding for told in self._told.values() for finding in told]
        for key, (line, more) in self._rest.items():
            like = self._told[key][0]
            out.append(Finding(self.file, line, like.rule, f"{more:,} more of this kind", like.hint, like.level))
        return out


@dataclass(frozen=True)
class Head:
    """What the lines on top say. None: not said, or said wrongly. `line` has the line of each key."""

    station: str | None = None
    unit: str | None = None
    latitude: float | None = None
    invented: bool = False
    line: dict[str, int] = field(default_factory=dict)


@dataclass(frozen=True)
class Rows:
    """The rows that could be read, in the order of the file; a missing reading is NaN."""

    days: list[date]
    lows: list[float]
    highs: list[float]
    lines: list[int]


def read_text(data: bytes, told: Told) -> tuple[Head, Rows, int] | None:
    """Head, rows, and the line of the column names; None where nothing can be said of the rows."""
    text = _text(data, told)
    if text is None:
        return None
    lines = text.split("\n")
    at = next((i for i, line in enumerate(lines) if line.strip() and not line.startswith("#")), len(lines))
    head = _head(lines[:at], told)
    order = _columns(lines[at] if at < len(lines) else "", at + 1, told)
    if order is None:
        return None
    cells, numbers = _cells(lines, at + 1, order, told)
    rows = _rows(cells, numbers, told)
    if not rows.days:
        if not told.refused:
            told.add(at + 1, "empty-file", "there is no day in this file", "put one row for each day below the names")
        return None
    return head, rows, at + 1


def _text(data: bytes, told: Told) -> str | None:
    """The text with plain line ends, or None."""
    if len(data) > MAX_BYTES:
        said = f"{len(data):,} bytes; at most {MAX_BYTES:,} are read"
        told.add(0, "file-too-large", said, "keep one row for each day, and one station")
        return None
    try:
        return data.decode("utf-8-sig").replace("\r\n", "\n").replace("\r", "\n")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        said = f"byte 0x{data[error.start]:02x} is not UTF-8 text"
        told.add(line, "not-utf-8", said, "save the file again with the encoding UTF-8")
        return None


def _head(lines: list[str], told: Told) -> Head:
    """The lines on top. Lines that are no `key: value` are remarks."""
    said: dict[str, str] = {}
    at: dict[str, int] = {}
    for number, line in enumerate(lines, 1):
        match = re.match(r"#\s*([A-Za-z_]+)\s*:\s*(.*?)\s*$", line)
        if not match:
            continue
        key, value = match[1].lower(), match[2]
        if key in PLACES:
            told.add(number, "unknown-key", f"{key} is not needed here", "delete this line; `latitude` is enough")
        elif key not in HEAD and (near := get_close_matches(key, HEAD, n=1, cutoff=0.75)):
            told.add(number, "unknown-key", f"unknown key {key!r}", f"did you mean {near[0]!r}?")
            said.setdefault(near[0], "")
        elif key in HEAD and key in at:
            told.add(number, "duplicate-key", f"{key} is here twice (first on line {at[key]})", "keep one of them")
        elif key in HEAD:
            said[key], at[key] = value, number
    unit = said.get("unit", "")
    top = {"station": "# station: valley-floor", "unit": "# unit: C` or `# unit: F"}
    for key, line in top.items():
        if key not in said:
            told.add(1, "missing-key", f"the file does not say its {key}", f"add a line `{line}` on top")
    if "unit" in at and unit not in ("C", "F"):
        told.add(at["unit"], "not-allowed", f"unit is {unit!r}", "allowed: C or F")
    station = said.get("station", "")
    if "station" in at and not re.match(ID_PATTERN, station):
        hint = "small letters, digits and single hyphens, such as valley-floor"
        told.add(at["station"], "bad-form", f"station is {station!r}, which has the wrong form", hint)
    invented = said.get("invented", "")
    if "invented" in at and invented not in ("true", "false"):
        told.add(at["invented"], "not-allowed", f"invented is {invented!r}", "allowed: true or false")
    latitude = _latitude(said["latitude"], at["latitude"], told) if "latitude" in at else None
    return Head(station or None, unit if unit in ("C", "F") else None, latitude, invented == "true", at)


def _latitude(text: str, line: int, told: Told) -> float | None:
    """Degrees, south negative, to a tenth: no field can be found from it."""
    if not re.fullmatch(r"[+-]?\d{1,3}(\.\d*)?", text) or abs(float(text)) > 90:
        told.add(line, "bad-form", f"latitude is {text!r}", "degrees with a point, south with a minus, such as 41.9")
        return None
    if len(text.partition(".")[2]) > 1:
        hint = f"round it to a tenth of a degree, {float(text):.1f}: so it shows no one's field"
        told.add(line, "out-of-range", f"latitude {text} is too close", hint)
        return None
    return float(text)


def _columns(line: str, number: int, told: Told) -> tuple[int, int, int, int] | None:
    """Places of date, low and high in a row, and how many cells it has; None with a finding where one is missing."""
    names = [name.strip().strip('"').strip() for name in line.split(",")]
    start = f"start the rows with a line {','.join(NAMES)}"
    if not line:
        told.add(0, "empty-file", "there are no rows in this file", start)
    elif len(names) == 1 and (";" in line or "\t" in line):
        what = "semicolons" if ";" in line else "tabs"
        told.add(number, "bad-csv", f"the columns are set apart by {what}", "use commas, and a point in numbers: 12.5")
    elif re.match(r"\d", names[0]):
        told.add(number, "missing-key", "there is no line with the names of the columns", start)
    else:
        known = len(told.findings())
        missing = [name for name in NAMES if name not in names]
        for name in [name for name in names if name not in NAMES]:
            near = get_close_matches(name.lower(), missing, n=1)
            hint = f"did you mean {near[0]!r}? " if near else ""
            missing = [other for other in missing if other not in near]
            told.add(number, "unknown-key", f"unknown column {name!r}", f"{hint}allowed: {', '.join(NAMES)}")
        for name in [name for name in missing if len(names) < len(NAMES)]:
            told.add(number, "missing-key", f"there is no column {name!r}", start)
        if len(set(names)) < len(names):
            told.add(number, "duplicate-key", "a column name is there twice", "keep one of them")
        if len(told.findings()) == known:
            date_at, low_at, high_at = (names.index(name) for name in NAMES)
            return date_at, low_at, high_at, len(names)
    return None


Cells = list[list[str]]


def _cells(lines: list[str], start: int, order: tuple[int, int, int, int], told: Told) -> tuple[Cells, list[int]]:
    """The cells of dates, lows and highs, and the line of each row. Empty lines and remarks are left out."""
    *places, width = order
    numbers: list[int] = []
    rows: list[list[str]] = []
    for number, line in enumerate(lines[start:], start + 1):
        if not line or line[0] == "#":
            continue
        row = _quoted(line) if '"' in line else line.split(",")
        if len(row) == width:
            rows.append(row)
            numbers.append(number)
        elif line.strip():
            said = f"{len(row)} cells under {width} columns"
            told.add(number, "wrong-length", said, "one date, one low, one high; a point in numbers: 12.5")
    return [[row[at].strip() for row in rows] for at in places], numbers


def _quoted(line: str) -> list[str]:
    """The cells of a row with quotes; none where it holds one that is too long to be a cell."""
    try:
        return next(csv.reader([line]), [])
    except csv.Error:
        return []


def _rows(cells: Cells, numbers: list[int], told: Told) -> Rows:
    """Dates and readings. A row with a fault is told and left out."""
    days = [_day(text) for text in cells[0]]
    lows, highs = ([_number(text) for text in column] for column in cells[1:])
    for i in [i for i, day in enumerate(days) if day is None]:
        said = f"date is {cells[0][i][:30]!r}" if cells[0][i] else "date is empty"
        told.add(numbers[i], "bad-cell", said, "allowed: a day such as 2026-11-25, year first", kind="date")
    for name, texts, values in zip(NAMES[1:], cells[1:], (lows, highs), strict=True):
        for i in [i for i, value in enumerate(values) if value is None]:
            hint = "allowed: a number such as -3.5; leave the cell empty if there is no reading"
            told.add(numbers[i], "bad-cell", f"{name} is {texts[i][:30]!r}", hint, kind="reading")
    out = Rows([], [], [], [])
    for i, (day, low, high) in enumerate(zip(days, lows, highs, strict=True)):
        if day is not None and low is not None and high is not None:
            out.days.append(day)
            out.lows.append(low)
            out.highs.append(high)
            out.lines.append(numbers[i])
    return out


def _day(text: str) -> date | None:
    """A date written as 2026-11-25, and in no other way."""
    if len(text) != 10 or text[4] != "-" or text[7] != "-" or not FIRST_YEAR <= text[:4] <= LAST_YEAR:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None


def _number(text: str) -> float | None:
    """A plain decimal number, NaN for no reading, None for anything else."""
    if not text:
        return MISSING
    if text.strip(NUMBER_LETTERS):
        return None
    try:
        return float(text)
    except ValueError:
        return None
