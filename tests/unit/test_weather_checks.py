"""What is wrong with a daily record: its days, its columns, its unit, its gaps."""

from __future__ import annotations

import doctest
from datetime import date

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from earleaf.agronomy import weather_checks
from earleaf.agronomy.seasons import Dates, Floats
from earleaf.agronomy.weather_checks import check_days, check_readings, fill_gaps

YEAR = np.arange(np.datetime64("2026-01-01"), np.datetime64("2027-01-01"))


def temperate(days: Dates = YEAR, mean_c: float = 11.0, swing_c: float = 14.0) -> tuple[Floats, Floats]:
    """Lows and highs in C of a place with a cold winter and a warm summer."""
    season = mean_c - swing_c * np.cos(2 * np.pi * (days - days.astype("datetime64[Y]")).astype(int) / 365)
    return season - 6, season + 6


def fahrenheit(values: Floats) -> Floats:
    return values * 9 / 5 + 32


def kinds(days: Dates, *readings: object) -> list[str]:
    return [f.kind for f in (*check_days(days), *check_readings(days, *readings))]  # type: ignore[arg-type]


def test_the_examples_in_the_text_hold() -> None:
    result = doctest.testmod(weather_checks, extraglobs={"np": np})
    assert (result.failed, result.attempted > 3) == (0, True)


@pytest.mark.parametrize("mean_c", [-5.0, 3.0, 11.0, 20.0, 28.0])
def test_a_sound_record_gives_no_finding_in_either_unit(mean_c: float) -> None:
    low, high = temperate(mean_c=mean_c)
    assert kinds(YEAR, low, high, "C") == []
    assert kinds(YEAR, fahrenheit(low), fahrenheit(high), "F") == []


@pytest.mark.parametrize("mean_c", [-2.0, 3.0, 11.0, 20.0, 28.0])
def test_the_wrong_unit_is_told_once_with_what_to_do(mean_c: float) -> None:
    low, high = temperate(mean_c=mean_c)
    (found,) = check_readings(YEAR, fahrenheit(low), fahrenheit(high), "C")
    assert (found.kind, found.first, found.last) == ("fahrenheit", date(2026, 1, 1), date(2026, 12, 31))
    assert found.refuse and "Declare degrees F" in found.what_to_do
    if mean_c <= 11:  # where the hottest month stays under 32 C
        (found,) = check_readings(YEAR, low, high, "F")
        assert found.kind == "celsius" and "Declare degrees C" in found.what_to_do


def test_a_cool_spring_in_fahrenheit_is_seen_a_cold_winter_is_not() -> None:
    low, high = temperate()
    spring, winter = slice(90, 150), slice(0, 20)
    assert kinds(YEAR[spring], fahrenheit(low[spring]), fahrenheit(high[spring]), "C") == ["fahrenheit"]
    assert kinds(YEAR[winter], fahrenheit(low[winter]), fahrenheit(high[winter]), "C") == []


def test_the_hottest_month_and_reading_ever_measured_are_not_refused() -> None:
    july = YEAR[181:212]  # Death Valley, July 2018: mean high 49.5, mean low 35.1 C; 56.7 C is the record
    high = np.full(31, 49.5)
    high[10] = 56.7
    assert kinds(july, np.full(31, 35.1), high, "C") == []


def test_neither_unit() -> None:
    low, high = temperate()
    assert kinds(YEAR, low + 273.15, high + 273.15, "C") == ["unknown unit"]
    assert kinds(YEAR, low * 10, high * 10, "F") == ["unknown unit"]
    with pytest.raises(ValueError, match="C or F"):
        check_readings(YEAR, low, high, "K")  # type: ignore[arg-type]


def test_swapped_columns_are_one_finding_a_slip_is_its_own() -> None:
    low, high = temperate()
    (found,) = check_readings(YEAR, high, low, "C")
    assert (found.kind, found.first, found.last) == ("swapped", date(2026, 1, 1), date(2026, 12, 31))
    low[100:102], high[100:102] = high[100:102].copy(), low[100:102].copy()
    (found,) = check_readings(YEAR, low, high, "C")
    assert (found.kind, found.first, found.last) == ("low above high", date(2026, 4, 11), date(2026, 4, 12))


def test_swapped_and_in_the_wrong_unit() -> None:
    low, high = temperate()
    assert kinds(YEAR, fahrenheit(high), fahrenheit(low), "C") == ["swapped", "fahrenheit"]


@pytest.mark.parametrize("code", [-999.0, -99.9, 99.9, 999.0, 9999.0])
def test_codes_for_missing_readings_are_no_readings(code: float) -> None:
    low, high = temperate()
    low[50] = high[50] = code
    (found,) = check_readings(YEAR, low, high, "C")
    assert (found.kind, found.first) == ("implausible", date(2026, 2, 20))


def test_a_record_of_nothing_and_of_missing_readings() -> None:
    nothing = np.array([], dtype="datetime64[D]")
    assert kinds(nothing, [], [], "C") == []
    assert kinds(YEAR, np.full(365, np.nan), np.full(365, np.nan), "C") == []


def test_twice_the_same_days() -> None:
    days = np.concatenate([YEAR[:20], YEAR[10:40]])
    (found,) = check_days(days)
    assert (found.kind, found.first, found.last) == ("duplicate", date(2026, 1, 11), date(2026, 1, 20))


def test_a_record_backwards_is_one_finding_and_a_lost_row_is_named() -> None:
    (found,) = check_days(YEAR[::-1])
    assert (found.kind, found.first, found.last) == ("unordered", date(2026, 1, 1), date(2026, 12, 31))
    (found,) = check_days(np.concatenate([YEAR[:10], YEAR[11:20], YEAR[10:11], YEAR[20:30]]))
    assert (found.kind, found.first) == ("unordered", date(2026, 1, 11))
    assert check_days(YEAR) == ()


def test_three_days_are_filled_four_are_not() -> None:
    low, high = temperate()
    keep = np.ones(365, bool)
    keep[100:103] = keep[200:204] = False
    filled = fill_gaps(YEAR[keep], low[keep], high[keep])
    assert filled.dates.tolist() == YEAR.tolist()
    assert [(f.kind, f.first, f.last, f.refuse) for f in filled.findings] == [
        ("filled", date(2026, 4, 11), date(2026, 4, 13), False),
        ("gap", date(2026, 7, 20), date(2026, 7, 23), False),
    ]
    assert filled.t_min[99:104] == pytest.approx(np.linspace(low[99], low[103], 5))
    assert np.isnan(filled.t_min).sum() == np.isnan(filled.t_max).sum() == 4


def test_one_missing_reading_keeps_the_other_and_stays_in_order() -> None:
    low, high = [10.0, np.nan, 12.0], [20.0, 8.0, 22.0]
    filled = fill_gaps(YEAR[:3], low, high)
    assert filled.t_min.tolist() == [10, 8, 12] and filled.t_max.tolist() == [20, 8, 22]
    filled = fill_gaps(YEAR[:3], [10.0, 25.0, 12.0], [20.0, np.nan, 22.0])
    assert filled.t_min.tolist() == [10, 25, 12] and filled.t_max.tolist() == [20, 25, 22]


def test_the_ends_are_never_made_up() -> None:
    filled = fill_gaps(YEAR[:4], [np.nan, 1, 2, 3], [9.0, 9, 9, np.nan])
    assert [f.kind for f in filled.findings] == ["gap", "gap"]
    assert np.isnan(filled.t_min[0]) and np.isnan(filled.t_max[3])


@given(st.lists(st.booleans(), min_size=1, max_size=60), st.integers(0, 5))
@settings(max_examples=200)
def test_every_gap_is_reported_and_only_short_ones_are_filled(missing: list[bool], longest: int) -> None:
    values = np.where(missing, np.nan, 5.0)
    filled = fill_gaps(YEAR[: len(missing)], values, values + 10, longest)
    told = sum((f.last - f.first).days + 1 for f in filled.findings)
    left = sum((f.last - f.first).days + 1 for f in filled.findings if f.kind == "gap")
    assert told == sum(missing) and left == np.isnan(filled.t_min).sum()
    assert all((f.last - f.first).days < longest for f in filled.findings if f.kind == "filled")
    assert (filled.t_min[~np.isnan(filled.t_min)] == 5).all()


def test_days_out_of_order_are_not_filled() -> None:
    with pytest.raises(ValueError, match="follow each other"):
        fill_gaps(["2026-01-02", "2026-01-01"], [1, 2], [3, 4])
    with pytest.raises(ValueError, match="one low and one high"):
        check_readings(YEAR, [1.0], [2.0], "C")
