"""The CSV file of one weather station to arrays, with file and line of everything that is wrong with it.

The file starts with lines such as `# station: valley-floor`, `# unit: C` and `# latitude: 41.9`. Then come the names of
the columns, `date,low,high`, and one row for each day. An empty cell is a missing reading.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import NamedTuple

import numpy as np

from ..agronomy.seasons import COLUMNS, Dates, Floats, MonthDay, Seasons, cut_seasons, is_southern, warmest_day
from ..agronomy.weather_checks import (
    FilledRecord,
    Unit,
    WeatherFinding,
    check_days,
    check_readings,
    fill_gaps,
)
from ..model.finding import Finding, Level
from ..model.region import Region
from .weather_text import SHOWN, Head, Told, read_text

Span = tuple[date, date]
WHOLE_FILE = {"fahrenheit": "unit", "celsius": "unit", "unknown unit": "unit", "swapped": "date,low,high"}
"""What is wrong with the file as a whole, and the head line that has to be changed."""


@dataclass(frozen=True, eq=False)
class Weather:
    """One station: lows and highs (n,) in `unit`, for every day from its first to its last whole reading.

    Short gaps are filled. In a longer gap at least one of the two is NaN; `gaps` has the first and last day of each.
    """

    station: str
    unit: Unit
    latitude: float | None
    invented: bool
    file: str
    dates: Dates
    lows: Floats
    highs: Floats
    gaps: tuple[Span, ...] = ()

    @cached_property
    def southern(self) -> bool:
        """Whether the station has its summer around New Year."""
        days = (self.dates - self.dates.astype("datetime64[Y]")).astype(int) + 1
        return is_southern(warmest_day(days, (self.lows + self.highs) / 2))

    @property
    def first(self) -> date:
        """The first day with both readings."""
        return _date(self.dates[0])

    @property
    def last(self) -> date:
        """The last day with both readings."""
        return _date(self.dates[-1])


def past_seasons(weather: Weather, season: int, start: MonthDay, days: int = COLUMNS) -> Seasons:
    """The seasons before that of `season` whose first `days` days are all there, each from the month-day `start`.

    They may be none. Arrays (years, 366) in the unit of the station; fit for `agronomy.ensemble.possible_seasons`.
    """
    every = cut_seasons(weather.dates, weather.lows, weather.highs, start)
    later = {year for year in every.years if year >= season}
    return every.without(later | set(every.years_with_gaps(days)))


def observed(weather: Weather, first: date, last: date) -> tuple[Floats, Floats]:
    """Lows and highs from day `first` to day `last`, both included, as far as the record goes; empty if it ends before.

    ValueError where the record begins after `first`: the days before it are not known.
    """
    if weather.first > first:
        raise ValueError(f"the record of {weather.station} starts on {weather.first}, after {first}")
    days = (weather.dates >= np.datetime64(first)) & (weather.dates <= np.datetime64(last))
    return weather.lows[days], weather.highs[days]


def needed_days(region: Region) -> Span:
    """The first and last day whose readings a region's season so far may use."""
    return region.first_day, min(region.as_of or region.last_day, region.last_day)


def season_so_far(weather: Weather, region: Region) -> Span | None:
    """The first and last observed day of a region's season, None where no day of it is known yet."""
    first, last = needed_days(region)
    last = min(last, weather.last)
    return (first, last) if weather.first <= first <= last else None


def read_weather(data: bytes, file: str, needed: Sequence[Span] = ()) -> tuple[Weather | None, list[Finding]]:
    """The station of one file and what is wrong with it; None where there is an error.

    `needed` are the first and last days whose readings are used as they are: the season so far. A gap of more than 3
    days in them is an error. Elsewhere it is a warning, and the season it lies in is not used. `file` is the name in
    findings. Nothing in the bytes raises.
    """
    told = Told(file)
    if (read := read_text(data, told)) is None:
        return None, told.findings()
    head, rows, names_at = read
    ordinals = np.array([day.toordinal() for day in rows.days])
    days = np.datetime64("0001-01-01") + (ordinals - 1).astype("timedelta64[D]")
    given = _Given(days, np.array(rows.lows), np.array(rows.highs), rows.lines)
    wrong = check_days(given.days)
    if unit := _unit(head):
        wrong += check_readings(given.days, given.lows, given.highs, unit)
    for kind in dict.fromkeys(finding.kind for finding in wrong):
        _tell([finding for finding in wrong if finding.kind == kind], given, head, names_at, told)
    if wrong or told.refused or unit is None or head.station is None:
        return None, told.findings()
    filled = fill_gaps(given.days, given.lows, given.highs)
    whole = np.flatnonzero(~np.isnan(filled.t_min) & ~np.isnan(filled.t_max))
    if not len(whole):
        told.add(names_at, "empty-file", "no day has both a low and a high", "enter the readings")
        return None, told.findings()
    kept = slice(int(whole[0]), int(whole[-1]) + 1)
    weather = Weather(
        head.station, unit, head.latitude, head.invented, file, filled.dates[kept], filled.t_min[kept],
        filled.t_max[kept], tuple(_gaps(filled, kept)),
    )  # fmt: skip
    _tell_gaps(filled, weather, given, needed, told)
    return (None if told.refused else weather), told.findings()


class _Given(NamedTuple):
    """The rows as arrays (n,), in the order of the file, and the line of each."""

    days: Dates
    lows: Floats
    highs: Floats
    lines: list[int]

    def line(self, day: date, time: int = 0) -> int:
        """The line of a day, of its second row for `time` 1; of the row before it where it has none."""
        at = np.flatnonzero(self.days == np.datetime64(day))
        if len(at):
            return self.lines[int(at[min(time, len(at) - 1)])]
        before = np.flatnonzero(self.days < np.datetime64(day))
        return self.lines[int(before[-1])] if len(before) else self.lines[0]

    def reading(self, day: date) -> str:
        """Low and high of a day, as words."""
        at = int(np.flatnonzero(self.days == np.datetime64(day))[0])
        return f"low {self.lows[at]:g}, high {self.highs[at]:g}"


def _unit(head: Head) -> Unit | None:
    return "C" if head.unit == "C" else "F" if head.unit == "F" else None


def _tell(wrong: list[WeatherFinding], given: _Given, head: Head, names_at: int, told: Told) -> None:
    """Findings of one kind that refuse the file: the first few with their lines, the rest counted."""
    for finding in wrong[:SHOWN]:
        kind, first = finding.kind, finding.first
        if kind in WHOLE_FILE:
            line = head.line.get(WHOLE_FILE[kind], names_at)
        elif kind == "unordered" and finding.first != finding.last:
            line = given.lines[int(np.flatnonzero(np.diff(given.days).astype(int) < 0)[0]) + 1]
        else:
            line = given.line(first, time=1 if kind == "duplicate" else 0)
        hint = finding.what_to_do[0].lower() + finding.what_to_do[1:].rstrip(".")
        told.add(line, _rule(kind), _said(finding, given, head.unit or ""), hint, kind=kind)
    if len(wrong) > SHOWN:
        after = wrong[SHOWN]
        told.count(given.line(after.first), _rule(after.kind), after.kind, len(wrong) - SHOWN)


def _rule(kind: str) -> str:
    return "weather-days" if kind in ("unordered", "duplicate") else "weather-readings"


def _said(finding: WeatherFinding, given: _Given, unit: str) -> str:
    """What was found, in words."""
    first, one_day = finding.first, finding.first == finding.last
    span = str(first) if one_day else f"{first} to {finding.last}"
    match finding.kind:
        case "duplicate":
            return f"{span} {'is' if one_day else 'are'} here twice"
        case "unordered":
            return f"{first} stands below a later day" if one_day else "the days do not run from early to late"
        case "swapped":
            return "the low is above the high on most days"
        case "low above high":
            return f"the low is above the high on {span}: {given.reading(first)}"
        case "fahrenheit":
            return "the unit is C, but the readings look like degrees F"
        case "celsius":
            return "the unit is F, but the readings look like degrees C"
        case "unknown unit":
            return f"the unit is {unit}, but many readings are too high for either unit"
        case _:
            return f"no station ever had this reading, on {span}: {given.reading(first)}"


def _gaps(filled: FilledRecord, kept: slice) -> Iterator[Span]:
    """Long gaps between the first and the last whole day."""
    first, last = _date(filled.dates[kept][0]), _date(filled.dates[kept][-1])
    yield from ((gap.first, gap.last) for gap in filled.findings if gap.kind == "gap" and first < gap.first < last)


def _tell_gaps(filled: FilledRecord, weather: Weather, given: _Given, needed: Sequence[Span], told: Told) -> None:
    """Short gaps that were filled, long gaps that were not, and days at either end that lack a reading."""
    sorts: dict[str, list[WeatherFinding]] = {"needed": [], "long": [], "end": [], "filled": []}
    for gap in filled.findings:
        inside = weather.first < gap.first < weather.last
        used = inside and any(first <= gap.last and gap.first <= last for first, last in needed if first <= last)
        sorts["filled" if gap.kind == "filled" else "needed" if used else "long" if inside else "end"].append(gap)
    words = {
        "needed": "readings are missing {span}; the season so far cannot be used",
        "long": "readings are missing {span}; a season with these days is not used",
        "end": "a reading is missing {span}, at an end of the file; the record has whole days only",
        "filled": "a reading is missing {span}; a straight line between the days beside it takes its place",
    }
    for sort, gaps in sorts.items():
        level: Level = "error" if sort == "needed" else "warning"
        for gap in gaps[:SHOWN]:
            days = (gap.last - gap.first).days + 1
            span = f"on {gap.first}" if days == 1 else f"from {gap.first} to {gap.last} ({days} days)"
            line, said = given.line(gap.first), words[sort].format(span=span)
            told.add(line, "weather-gap", said, "enter the readings", kind=sort, level=level)
        if len(gaps) > SHOWN:
            told.count(given.line(gaps[SHOWN].first), "weather-gap", sort, len(gaps) - SHOWN)


def _date(day: np.datetime64) -> date:
    """A plain date."""
    return date.fromisoformat(str(day))
