"""A record cut into seasons: any start, leap days, gaps, and past seasons in the calendar of this one."""

from __future__ import annotations

import doctest
from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from earleaf.agronomy import seasons
from earleaf.agronomy.seasons import (
    NORTH,
    SOUTH,
    Dates,
    Seasons,
    columns_of,
    cut_seasons,
    dates_of,
    days_in_season,
    in_calendar,
    last_cold_day,
    season_start,
    warmest_day,
)

MONTH_DAYS = st.dates(min_value=date(2001, 1, 1), max_value=date(2001, 12, 31)).map(lambda d: (d.month, d.day))


def days(first: str, last: str) -> Dates:
    return np.arange(np.datetime64(first), np.datetime64(last) + 1)


def record(first: str, last: str, start: tuple[int, int] = NORTH) -> Seasons:
    """A record whose low is the number of its day since 1970, so that each reading names its date."""
    dates = days(first, last)
    lows = dates.astype(int).astype(float)
    return cut_seasons(dates, lows, lows + 10, start)


def test_the_examples_in_the_text_hold() -> None:
    result = doctest.testmod(seasons)
    assert (result.failed, result.attempted > 5) == (0, True)


@given(MONTH_DAYS, st.integers(1900, 2100))
def test_every_day_of_a_season_has_its_column_and_back(start: tuple[int, int], year: int) -> None:
    length = days_in_season(year, start)
    dates = dates_of(np.arange(length), year, start)
    assert columns_of(dates, year, start).tolist() == list(range(length))
    assert dates[-1] + 1 == season_start(year + 1, start)


@given(MONTH_DAYS, st.integers(1995, 2010))
def test_a_cut_record_holds_every_reading_on_its_own_day(start: tuple[int, int], year: int) -> None:
    cut = record("1990-01-01", "2015-12-31", start)
    row = cut.years.index(year)
    lows, highs = in_calendar(cut, year)
    assert lows.shape == highs.shape == (len(cut.years), days_in_season(year, start))
    assert lows[row].tolist() == dates_of(np.arange(lows.shape[1]), year, start).astype(int).tolist()


@given(MONTH_DAYS)
def test_a_column_is_one_month_day_in_all_seasons(start: tuple[int, int]) -> None:
    cut = record("1996-01-01", "2009-12-31", start)
    whole = cut.without({cut.years[0], cut.years[-1]})
    text = np.where(np.isnan(whole.t_min), 0, whole.t_min).astype("datetime64[D]").astype(str)
    for column in range(366):
        seen = {text[row, column][5:] for row in range(len(whole.years)) if not np.isnan(whole.t_min[row, column])}
        assert len(seen) == 1


def test_a_southern_season_crosses_the_year() -> None:
    cut = record("2025-07-01", "2027-06-30", SOUTH)
    assert cut.years == (2025, 2026)
    assert cut.t_min[0, columns_of("2026-01-15", 2025, SOUTH)] == np.datetime64("2026-01-15").astype(int)
    assert days_in_season(2027, SOUTH) == 366 and days_in_season(2028, SOUTH) == 365


def test_a_planting_on_the_leap_day_is_a_day_like_any_other() -> None:
    assert columns_of("2028-02-29", 2028, NORTH).tolist() == 59
    lows, _ = in_calendar(record("2021-01-01", "2027-12-31"), 2028)
    assert lows.shape == (7, 366) and not np.isnan(lows).any()
    common, leap = lows[0], lows[3]
    assert common[59] == (common[58] + common[60]) / 2 == common[58] + 0.5
    assert np.datetime64(int(leap[59]), "D") == np.datetime64("2024-02-29")


def test_without_a_leap_day_the_column_is_dropped_and_march_follows_february() -> None:
    lows, _ = in_calendar(record("2024-01-01", "2024-12-31"), 2025)
    dates = lows[0].astype(int).astype("datetime64[D]").astype(str)
    assert dates[58:60].tolist() == ["2024-02-28", "2024-03-01"]


def test_the_last_day_of_a_season_that_starts_in_march() -> None:
    lows, _ = in_calendar(record("2024-03-01", "2026-02-28", (3, 1)), 2027)  # ends on 29 February 2028
    assert lows[1, 365] == lows[1, 364]


def test_missing_days_are_gaps_but_an_absent_leap_day_is_none() -> None:
    dates = days("2025-01-01", "2026-12-31")
    keep = (dates < np.datetime64("2026-07-10")) | (dates > np.datetime64("2026-07-12"))
    cut = cut_seasons(dates[keep], np.zeros(keep.sum()), np.ones(keep.sum()))
    assert cut.years_with_gaps() == (2026,)
    assert cut.years_with_gaps(int(columns_of("2026-07-10", 2026, NORTH))) == ()
    assert cut.without({2026}).years == (2025,)
    leap = record("2028-01-01", "2028-12-31")
    leap.t_min[0, 59] = np.nan
    assert leap.years_with_gaps() == (2028,)


def test_a_season_that_has_begun_is_kept_with_the_rest_missing() -> None:
    cut = record("2025-01-01", "2026-06-10")
    assert cut.years_with_gaps() == (2026,) and cut.years_with_gaps(150) == ()


def test_the_last_frost_and_a_year_without() -> None:
    assert last_cold_day([[-3, 1, -2.8, 2, -9.0], [1, 2, 3, 4, 5.0], [np.nan] * 5], -2.8, before=4).tolist() == [
        2,
        -1,
        -1,
    ]
    assert last_cold_day([[-3.0]], 0, before=0).tolist() == [-1]


@pytest.mark.parametrize("start", [(2, 29), (13, 1), (0, 1), (4, 31), (1, 0)])
def test_a_start_that_not_every_year_has_is_refused(start: tuple[int, int]) -> None:
    with pytest.raises(ValueError, match="a day that every year has"):
        season_start(2026, start)


@pytest.mark.parametrize("day", ["2025-12-31", "2027-01-01", "NaT"])
def test_a_date_outside_the_season_is_named(day: str) -> None:
    with pytest.raises(ValueError, match=f"{day} lies outside the season that starts on 2026-01-01"):
        columns_of(["2026-05-01", day], 2026, NORTH)


def test_a_record_out_of_order_or_uneven_is_refused() -> None:
    with pytest.raises(ValueError, match="follow each other"):
        cut_seasons(["2026-01-02", "2026-01-01"], [1, 2], [3, 4])
    with pytest.raises(ValueError, match="follow each other"):
        cut_seasons(["2026-01-01", "2026-01-01"], [1, 2], [3, 4])
    with pytest.raises(ValueError, match="one low and one high"):
        cut_seasons(["2026-01-01"], [1, 2], [3])
    with pytest.raises(ValueError, match="one low and one high"):
        cut_seasons(np.array([], dtype="datetime64[D]"), [], [])


@pytest.mark.parametrize("warmest", [1, 20, 100, 182, 183, 203, 300, 364, 365])
def test_the_warmest_day_is_found_in_both_halves_of_the_year(warmest: int) -> None:
    """A wave with its top on one day of a year of 365.25 days: that day, not the one after it."""
    days = np.arange(1, 366)
    assert warmest_day(days, 10 + 8 * np.cos((days - warmest) / 365.25 * 2 * np.pi)) == warmest
