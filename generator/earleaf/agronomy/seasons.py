"""A daily record of one station cut into seasons, and past seasons laid into the calendar of one season."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Columns = NDArray[np.int64]
Dates = NDArray[np.datetime64]
MonthDay = tuple[int, int]

COLUMNS = 366
"""One column for each month-day, 29 February among them."""

YEAR_DAYS = 365.25
LEAST_SWING = 1.0
"""Degrees between summer and winter under which a place has neither."""
FIRST_OF_APRIL, FIRST_OF_OCTOBER = 91, 274

NORTH: MonthDay = (1, 1)
SOUTH: MonthDay = (7, 1)


@dataclass(frozen=True)
class Seasons:
    """Lows and highs of many seasons of one station: arrays of shape (years, 366) in one unit.

    Row i is the season that starts in `years[i]` on the month-day `start`. A column is the same month-day in every row.
    A day that the record does not have is NaN, and so is 29 February in a season without one.
    """

    start: MonthDay
    years: tuple[int, ...]
    t_min: Floats
    t_max: Floats

    def without(self, years: set[int]) -> Seasons:
        """The same seasons but for those that start in `years`."""
        keep = np.array([year not in years for year in self.years], dtype=bool)
        kept = tuple(year for year in self.years if year not in years)
        return Seasons(self.start, kept, self.t_min[keep], self.t_max[keep])

    def years_with_gaps(self, days: int = COLUMNS) -> tuple[int, ...]:
        """Those of `years` whose first `days` columns lack a reading of a day that was in their calendar."""
        lacking = np.isnan(self.t_min) | np.isnan(self.t_max)
        lacking[_without_leap_day(self.years, self.start), _leap_column(self.start)] = False
        return tuple(self.years[row] for row in np.flatnonzero(lacking[:, :days].any(axis=1)))


def season_start(year: int, start: MonthDay) -> np.datetime64:
    """The first date of the season that starts in `year`, on the month-day `start`; ValueError for no or a leap day.

    Any month-day may be taken: 1 January in the north, 1 July in the south, 1 September for winter crops.

    >>> season_start(2026, (7, 1))
    np.datetime64('2026-07-01')
    """
    return np.datetime64(_starts(np.array([year]), start)[0])


def days_in_season(year: int, start: MonthDay) -> int:
    """365 or 366: how many days the season has that starts in `year` on the month-day `start`.

    >>> days_in_season(2027, (7, 1))  # holds 29 February 2028
    366
    """
    return int((season_start(year + 1, start) - season_start(year, start)).astype(int))


def columns_of(dates: ArrayLike, year: int, start: MonthDay) -> Columns:
    """How many days after its start each date lies in the season of `year`: day 0 is the first one.

    `dates` are datetime64 or ISO text of any shape; the same shape comes back. ValueError names a date outside the
    season. 29 February needs no care: it is a day like any other, in the seasons that have one.

    >>> columns_of(["2028-02-29", "2028-03-01"], 2028, (1, 1)).tolist()
    [59, 60]
    """
    days = np.asarray(dates, dtype="datetime64[D]")
    columns = (days - season_start(year, start)).astype(np.int64)
    outside = (columns < 0) | (columns >= days_in_season(year, start)) | np.isnat(days)
    if outside.any():
        first = season_start(year, start)
        raise ValueError(f"{days[outside].flat[0]} lies outside the season that starts on {first}")
    return np.asarray(columns)


def dates_of(columns: ArrayLike, year: int, start: MonthDay) -> Dates:
    """The date of each column of the season of `year`, any shape; NaT for a negative column, which is no day.

    >>> dates_of([59, -1], 2028, (1, 1)).astype(str).tolist()
    ['2028-02-29', 'NaT']
    """
    column = np.asarray(columns, dtype=np.int64)
    dates = season_start(year, start) + np.maximum(column, 0).astype("timedelta64[D]")
    return np.where(column < 0, np.datetime64("NaT", "D"), dates)


def cut_seasons(dates: ArrayLike, t_min: ArrayLike, t_max: ArrayLike, start: MonthDay = NORTH) -> Seasons:
    """A record of one station, cut at the month-day `start` of each year into seasons.

    `dates` (n,) are datetime64 or ISO text, each later than the one before; `t_min` and `t_max` (n,) are their lows and
    highs, in one unit. Days between may be missing: they become NaN, as does the rest of a season that is not complete.
    ValueError for dates out of order, for arrays of unlike length and for an empty record.

    >>> two = cut_seasons(["2026-12-31", "2027-01-01"], [1.0, 2.0], [11.0, 12.0], start=(7, 1))
    >>> two.years, two.t_min.shape, columns_of("2027-01-01", 2026, (7, 1)).tolist(), two.t_min[0, 183:185].tolist()
    ((2026,), (1, 366), 184, [1.0, 2.0])
    """
    days = np.asarray(dates, dtype="datetime64[D]")
    lows, highs = np.asarray(t_min, dtype=np.float64), np.asarray(t_max, dtype=np.float64)
    if days.ndim != 1 or not len(days) or lows.shape != days.shape or highs.shape != days.shape:
        raise ValueError(f"one low and one high for each date are needed: {days.shape}, {lows.shape}, {highs.shape}")
    if (np.diff(days).astype(int) <= 0).any():
        raise ValueError("the dates must follow each other: check the days of the record first")
    calendar = days.astype("datetime64[Y]").astype(int) + 1970
    season = calendar - (days < _starts(calendar, start))
    column = (days - _starts(season, start)).astype(int)
    column += _without_leap_day(season, start) & (column >= _leap_column(start))
    years = tuple(range(int(season[0]), int(season[-1]) + 1))
    out = np.full((2, len(years), COLUMNS), np.nan)
    out[:, season - season[0], column] = lows, highs
    return Seasons(start, years, out[0], out[1])


def in_calendar(seasons: Seasons, year: int) -> tuple[Floats, Floats]:
    """Lows and highs of all seasons in the calendar of the season of `year`: two arrays (years, 365) or (years, 366).

    Column n is then n days after the start of that season in every row, so that days can be counted along it. Where the
    season has no 29 February the column is dropped. Where it has one, a past season without it gets the mean of 28
    February and 1 March (of 28 February alone, where the season ends there). Gaps stay NaN.

    >>> past = cut_seasons(["2027-02-28", "2027-03-01"], [1.0, 2.0], [11.0, 12.0])
    >>> in_calendar(past, 2028)[0][0, 58:61].tolist(), in_calendar(past, 2026)[0].shape
    ([1.0, 1.5, 2.0], (1, 365))
    """
    leap = _leap_column(seasons.start)
    if days_in_season(year, seasons.start) < COLUMNS:
        return np.delete(seasons.t_min, leap, axis=1), np.delete(seasons.t_max, leap, axis=1)
    lacking = _without_leap_day(seasons.years, seasons.start)
    beside = [leap - 1, leap + 1] if leap + 1 < COLUMNS else [leap - 1]
    lows, highs = seasons.t_min.copy(), seasons.t_max.copy()
    for values in (lows, highs):
        values[lacking, leap] = values[lacking][:, beside].mean(axis=1)
    return lows, highs


def last_cold_day(t_min: ArrayLike, limit: float, before: int) -> Columns:
    """The last column before column `before` whose low is at or under `limit`, per season; -1 where there is none.

    For stages that are counted from the last spring frost. `t_min` (years, days) and `limit` share one unit; the answer
    (years,) serves as start of `stage_days`, where -1 means that the count never begins. NaN is not cold.

    >>> last_cold_day([[-5.0, -3.0, 4.0, -9.0], [5.0, 5.0, 5.0, 5.0]], -2.8, before=3).tolist()
    [1, -1]
    """
    cold = np.asarray(t_min, dtype=np.float64)[:, :before] <= limit
    last = cold.shape[1] - 1 - np.argmax(cold[:, ::-1], axis=1) if cold.shape[1] else np.zeros(len(cold), int)
    return np.asarray(np.where(cold.any(axis=1), last, -1), dtype=np.int64)


def warmest_day(days_of_year: ArrayLike, t_mean: ArrayLike) -> int | None:
    """The day of the year, 1 to 366, on which a record is warmest by its yearly wave; None where it has no such wave.

    `days_of_year` and `t_mean` (n,), in any order, one unit; NaN is left out. The wave is the best fit of one cosine a
    year, so that no single hot day decides. Under one degree of swing, or less than a year of days, there is no answer.

    >>> days = np.arange(1, 366)
    >>> warmest_day(days, 10 - 8 * np.cos((days - 20) / 365.25 * 2 * np.pi)), warmest_day(days, np.full(365, 20.0))
    (203, None)
    """
    day, mean = np.asarray(days_of_year, dtype=np.float64), np.asarray(t_mean, dtype=np.float64)
    known = ~np.isnan(mean)
    if len(np.unique(day[known])) < YEAR_DAYS - 1:
        return None
    angle = 2 * np.pi * day[known] / YEAR_DAYS
    columns = np.stack([np.ones_like(angle), np.cos(angle), np.sin(angle)], axis=1)
    _, cosine, sine = np.linalg.lstsq(columns, mean[known], rcond=None)[0]
    if np.hypot(cosine, sine) < LEAST_SWING / 2:
        return None
    return int(np.round(np.arctan2(sine, cosine) / (2 * np.pi) * YEAR_DAYS % YEAR_DAYS)) or COLUMNS


def is_southern(warmest: int | None) -> bool:
    """Whether a place that is warmest on this day of the year lies in the south: from October to March.

    >>> is_southern(20), is_southern(203), is_southern(None)
    (True, False, False)
    """
    return warmest is not None and not FIRST_OF_APRIL <= warmest < FIRST_OF_OCTOBER


def _starts(years: ArrayLike, start: MonthDay) -> Dates:
    """The first date of the season of each year."""
    month, day = start
    lengths = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
    if not (1 <= month <= 12 and 1 <= day <= lengths[month - 1]):
        raise ValueError(f"a season must start on a day that every year has, not on month {month}, day {day}")
    months = (np.asarray(years) - 1970) * 12 + month - 1
    return np.asarray(months.astype("datetime64[M]").astype("datetime64[D]") + np.timedelta64(day - 1, "D"))


def _without_leap_day(years: ArrayLike, start: MonthDay) -> NDArray[np.bool_]:
    """True for each season that has no 29 February."""
    year = np.asarray(years, dtype=np.int64)
    return np.asarray((_starts(year + 1, start) - _starts(year, start)).astype(int) < COLUMNS)


def _leap_column(start: MonthDay) -> int:
    """The column of 29 February."""
    year = 2000 if start < (2, 29) else 1999
    return int((np.datetime64("2000-02-29") - season_start(year, start)).astype(int))
