"""Is this daily record fit for use: order of days, swapped columns, the wrong unit, impossible readings, gaps.

What is plausible. The hottest month ever measured at a station had a mean of 42.3 C (Death Valley, July 2018, United
States National Weather Service). The highest and lowest readings at any station are 56.7 C and -89.2 C (World
Meteorological Organization, World Weather and Climate Extremes Archive). The limits here lie a little outside, so that
no true record is refused. A record in Fahrenheit taken for Celsius breaks the first limit as soon as it holds 30 days
with a mean over 45 F (7 C), which every growing season does.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .seasons import Dates, Floats

Unit = Literal["C", "F"]
Kind = Literal[
    "unordered", "duplicate", "swapped", "low above high", "fahrenheit", "celsius", "unknown unit", "implausible",
    "filled", "gap",
]  # fmt: skip

COLDEST_C, HOTTEST_C = -90.0, 57.0
HOTTEST_MONTH_C = 45.0
COLDEST_SUMMER_C = 0.0
"""Where the warmest month has a mean under 0 C the ground is ice (climate EF of Koeppen): no crop grows there."""

MONTH_DAYS, WHOLE_YEAR_DAYS = 30, 330
LONGEST_GAP_DAYS = 3


@dataclass(frozen=True)
class WeatherFinding:
    """One thing wrong with a record, as plain values; `refuse` says whether the record may not be used as it is."""

    kind: Kind
    first: date
    last: date
    what_to_do: str
    refuse: bool = True


class FilledRecord(NamedTuple):
    """A record with every day from its first to its last: arrays (n,), NaN in gaps too long to fill."""

    dates: Dates
    t_min: Floats
    t_max: Floats
    findings: tuple[WeatherFinding, ...]


def check_days(dates: ArrayLike) -> tuple[WeatherFinding, ...]:
    """Days that come twice, and days out of order: one finding for each run of them.

    >>> [(f.kind, str(f.first)) for f in check_days(["2026-05-01", "2026-05-02", "2026-05-02", "2026-04-30"])]
    [('duplicate', '2026-05-02'), ('unordered', '2026-04-30')]
    """
    days = np.asarray(dates, dtype="datetime64[D]")
    once, at, times = np.unique(days, return_index=True, return_counts=True)
    found = [
        WeatherFinding("duplicate", _day(first), _day(last), "Keep one row for each day.")
        for first, last in _runs_of_days(once[times > 1])
    ]
    in_file = days[np.sort(at)]
    back = np.diff(in_file).astype(int) < 0
    if back.sum() * 2 > len(back):
        found.append(WeatherFinding("unordered", _day(once[0]), _day(once[-1]), "Sort the rows by date."))
    else:
        out = in_file[1:][back]
        found += [WeatherFinding("unordered", _day(d), _day(d), "Sort the rows by date.") for d in out]
    return tuple(found)


def check_readings(dates: ArrayLike, t_min: ArrayLike, t_max: ArrayLike, unit: Unit) -> tuple[WeatherFinding, ...]:
    """Swapped columns, another unit than declared, and readings no station ever had.

    Arrays (n,), NaN for a missing reading. Lows above their highs on most days mean swapped columns, one finding; else
    each run of such days is told. A doubtful unit is told once for the whole record and hides single readings. What
    cannot be seen: Fahrenheit for Celsius in a record without 30 days in a row (10 where the record is shorter) over 45
    F, and Celsius for Fahrenheit in a record of less than 330 days or where a month has a mean over 32 C.

    >>> days = np.arange("2026-05-01", "2026-06-10", dtype="datetime64[D]")
    >>> [f.kind for f in check_readings(days, np.full(40, 55.0), np.full(40, 80.0), "C")]
    ['fahrenheit']
    """
    days = np.asarray(dates, dtype="datetime64[D]")
    low, high = np.asarray(t_min, dtype=np.float64), np.asarray(t_max, dtype=np.float64)
    if days.ndim != 1 or low.shape != days.shape or high.shape != days.shape:
        raise ValueError(f"one low and one high for each date are needed: {days.shape}, {low.shape}, {high.shape}")
    if unit not in ("C", "F"):
        raise ValueError(f"the unit must be C or F, not {unit}")
    if not len(days):
        return ()
    doubt = _unit_finding(days, low, high, unit)
    return (*_swapped(days, low, high), *([doubt] if doubt else _implausible(days, low, high, unit)))


def fill_gaps(
    dates: ArrayLike, t_min: ArrayLike, t_max: ArrayLike, longest_days: int = LONGEST_GAP_DAYS
) -> FilledRecord:
    """The record with all days between its first and last, short gaps filled, every gap reported.

    Up to `longest_days` days in a row (3, a rule of this project) are filled on a straight line between the readings
    before and after. A day that lacks only one of its readings keeps the other, and a filled low is never above the
    high. Longer gaps, and gaps at either end, stay NaN: a season that uses them is refused later on. ValueError for
    dates that do not follow each other: see `check_days`.

    >>> filled = fill_gaps(["2026-05-01", "2026-05-04"], [4.0, 10.0], [20.0, 26.0])
    >>> filled.t_min.tolist(), filled.findings[0].kind, str(filled.findings[0].last)
    ([4.0, 6.0, 8.0, 10.0], 'filled', '2026-05-03')
    """
    given = np.asarray(dates, dtype="datetime64[D]")
    if given.ndim != 1 or not len(given) or (np.diff(given).astype(int) <= 0).any():
        raise ValueError("the dates must follow each other: check the days of the record first")
    days = np.arange(given[0], given[-1] + 1)
    low, high = np.full(len(days), np.nan), np.full(len(days), np.nan)
    place = (given - given[0]).astype(int)
    low[place], high[place] = np.asarray(t_min, dtype=np.float64), np.asarray(t_max, dtype=np.float64)
    missing = np.isnan(low) | np.isnan(high)
    findings = []
    for first, last in list(_runs(missing)):
        short = last - first < longest_days and first > 0 and last < len(days) - 1
        if short:
            _fill(low, high, first, last)
        findings.append(_gap(_day(days[first]), _day(days[last]), short))
    return FilledRecord(days, low, high, tuple(findings))


def _fill(low: Floats, high: Floats, first: int, last: int) -> None:
    """Straight lines over the days from `first` to `last`, between their neighbours; what is there is kept."""
    run = np.arange(first, last + 1)
    no_low, no_high = run[np.isnan(low[run])], run[np.isnan(high[run])]
    low[no_low] = np.interp(no_low, [first - 1, last + 1], low[[first - 1, last + 1]])
    high[no_high] = np.interp(no_high, [first - 1, last + 1], high[[first - 1, last + 1]])
    high[no_high] = np.maximum(high[no_high], low[no_high])
    low[no_low] = np.minimum(low[no_low], high[no_low])


def _gap(first: date, last: date, short: bool) -> WeatherFinding:
    """What is told of a gap: filled, or left open."""
    if short:
        return WeatherFinding("filled", first, last, "Filled between the days beside it. Enter the readings.", False)
    return WeatherFinding(
        "gap", first, last, "Enter the readings. Until then a season with these days is not used.", False
    )


def _swapped(days: Dates, low: Floats, high: Floats) -> Iterator[WeatherFinding]:
    """Lows above highs: the columns if it is most days, else each run of days."""
    above, unlike = low > high, ~np.isnan(low) & ~np.isnan(high) & (low != high)
    if above.sum() * 2 > unlike.sum():
        yield WeatherFinding("swapped", _day(days.min()), _day(days.max()), "Swap the columns of lows and highs.")
        return
    for first, last in _runs(above):
        yield WeatherFinding("low above high", _day(days[first]), _day(days[last]), "Correct the low or the high.")


def _unit_finding(days: Dates, low: Floats, high: Floats, unit: Unit) -> WeatherFinding | None:
    """Another unit than declared, judged by the hottest month and by readings that no unit explains."""
    first, last = _day(days.min()), _day(days.max())
    ceiling, floor = _fahrenheit(HOTTEST_C), _fahrenheit(COLDEST_C)
    readings = np.concatenate([low, high])
    readings = readings[~np.isnan(readings)]
    if (readings > ceiling).sum() > 0.05 * len(readings):
        text = "Give the readings in degrees C or F: these are neither. Leave missing readings empty."
        return WeatherFinding("unknown unit", first, last, text)
    usable = (low >= floor) & (low <= ceiling) & (high >= floor) & (high <= ceiling)
    hottest = _hottest_month(((low + high) / 2)[usable])
    if unit == "C" and hottest > HOTTEST_MONTH_C:
        text = "These readings are too hot for degrees C. Declare degrees F."
        return WeatherFinding("fahrenheit", first, last, text)
    whole = (last - first).days + 1 >= WHOLE_YEAR_DAYS
    if unit == "F" and whole and hottest < _fahrenheit(COLDEST_SUMMER_C):
        text = "No month of this record is over 32 F. Declare degrees C."
        return WeatherFinding("celsius", first, last, text)
    return None


def _hottest_month(means: Floats) -> float:
    """The highest mean of 30 days in a row, of 10 or more where the record is shorter; NaN for less."""
    span = min(MONTH_DAYS, len(means))
    if span < 10:
        return float("nan")
    total = np.concatenate([[0.0], np.cumsum(means)])
    return float((total[span:] - total[:-span]).max() / span)


def _implausible(days: Dates, low: Floats, high: Floats, unit: Unit) -> Iterator[WeatherFinding]:
    """Readings that no station ever had."""
    limits = (COLDEST_C, HOTTEST_C) if unit == "C" else (_fahrenheit(COLDEST_C), _fahrenheit(HOTTEST_C))
    beyond = (low < limits[0]) | (low > limits[1]) | (high < limits[0]) | (high > limits[1])
    for first, last in _runs(beyond):
        text = "Correct this reading. Leave it empty if it is missing; no code such as -999."
        yield WeatherFinding("implausible", _day(days[first]), _day(days[last]), text)


def _fahrenheit(celsius: float) -> float:
    return celsius * 9 / 5 + 32


def _runs(true: NDArray[np.bool_]) -> Iterator[tuple[int, int]]:
    """First and last index of each run of True."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], true, [False]]).astype(np.int8)))
    yield from ((int(a), int(b) - 1) for a, b in zip(edges[::2], edges[1::2], strict=True))


def _runs_of_days(days: Dates) -> Iterator[tuple[np.datetime64, np.datetime64]]:
    """First and last of each run of days that follow each other; `days` are sorted."""
    if len(days):
        for run in np.split(days, np.flatnonzero(np.diff(days).astype(int) > 1) + 1):
            yield run[0], run[-1]


def _day(day: np.datetime64) -> date:
    """A plain date."""
    return date.fromisoformat(str(day))
