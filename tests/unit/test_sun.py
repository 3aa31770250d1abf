"""Sunrise and sunset: shapes, polar days, the two halves of the earth, clock time, wrong input."""

from __future__ import annotations

import math

import numpy as np
import pytest

from earleaf.agronomy.sun import day_length_h, declination_deg, equation_of_time_min, solar_to_clock_h, sun_times

DAYS = np.arange(1, 367)


def test_latitudes_and_days_broadcast() -> None:
    sun = sun_times([[0.0], [42.0]], DAYS)
    assert sun.sunrise_h.shape == sun.sunset_h.shape == sun.day_length_h.shape == (2, 366)


def test_the_day_lies_around_noon() -> None:
    sun = sun_times(42.0, DAYS)
    assert sun.sunset_h - sun.sunrise_h == pytest.approx(sun.day_length_h)
    assert (sun.sunrise_h + sun.sunset_h) / 2 == pytest.approx(np.full(366, 12.0))


def test_the_longest_day_is_in_june_in_the_north_and_in_december_in_the_south() -> None:
    assert abs(int(day_length_h(42.0, DAYS).argmax()) + 1 - 172) <= 1
    assert abs(int(day_length_h(-42.0, DAYS).argmax()) + 1 - 355) <= 1


def test_every_day_at_the_equator_is_about_seven_minutes_over_twelve_hours() -> None:
    """0.833 degrees of refraction and of the sun's own edge, at both ends: 6.7 minutes or a little more."""
    assert (day_length_h(0.0, DAYS) - 12.0) * 60 == pytest.approx(np.full(366, 7.0), abs=0.4)


def test_a_polar_day_has_no_sunrise() -> None:
    sun = sun_times(70.0, [172, 355])
    assert np.isnan(sun.sunrise_h).all() and np.isnan(sun.sunset_h).all()
    assert sun.day_length_h.tolist() == [24.0, 0.0]
    assert day_length_h([90.0, -90.0], 172).tolist() == [24.0, 0.0]


def test_missing_stays_missing() -> None:
    assert np.isnan(sun_times(np.nan, 100).sunrise_h) and np.isnan(day_length_h(np.nan, 100))
    assert np.isnan(declination_deg(np.nan))


def test_clock_time_of_noon() -> None:
    """Four minutes a degree: one degree west of the meridian of the zone the sun is four minutes late."""
    east, west = solar_to_clock_h(12.0, 100, longitude_deg=[-90.0, -91.0], utc_offset_h=-6)
    assert (west - east) * 60 == pytest.approx(4.0)
    summer = solar_to_clock_h(12.0, 100, longitude_deg=-90.0, utc_offset_h=-5)
    assert summer - east == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: sun_times(91.0, 1), "latitudes lie between -90 and 90 degrees, got 91"),
        (lambda: sun_times(0.0, 0), "days of the year run from 1 to 366, got 0"),
        (lambda: declination_deg([1, 367]), "got 367"),
        (lambda: solar_to_clock_h(12, 1, longitude_deg=200, utc_offset_h=0), "longitudes lie between"),
        (lambda: sun_times([1.0, 2.0], [1, 2, 3]), r"do not fit together: latitude_deg \(2,\), day_of_year \(3,\)"),
    ],
)
def test_wrong_input_is_named(call: object, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        call()  # type: ignore[operator]


def test_the_wrong_one_of_many_is_named() -> None:
    """The poles and the date line themselves are places on the earth."""
    with pytest.raises(ValueError, match="got 91"):
        sun_times([90.0, 91.0], 1)
    with pytest.raises(ValueError, match="got 200"):
        solar_to_clock_h(12, 1, longitude_deg=[180.0, -180.0, 200.0], utc_offset_h=0)


@pytest.mark.parametrize("day", [1, 46, 80, 123, 172, 266, 307, 355, 366])
def test_the_formula_of_the_almanac_written_a_second_time(day: int) -> None:
    """No outside figure: the low-precision formula of the Astronomical Almanac, U.S. Naval Observatory, in degrees, so
    that no single coefficient can slip. Days count from noon on 1 January 2000; 2026 begins on day 9497 of them, and
    the mean of four years lies 0.12 days before."""
    n = 9497 - 0.12 + day - 1

    def sine(degrees: float) -> float:
        return math.sin(math.radians(degrees))

    g = 357.528 + 0.9856003 * n
    longitude = 280.460 + 0.9856474 * n + 1.915 * sine(g) + 0.020 * sine(2 * g)
    declination = math.degrees(math.asin(sine(23.436) * sine(longitude)))
    minutes = 4 * (-1.915 * sine(g) - 0.020 * sine(2 * g) + 2.466 * sine(2 * longitude) - 0.053 * sine(4 * longitude))
    assert float(declination_deg(day)) == pytest.approx(declination, abs=1e-9)
    assert float(equation_of_time_min(day)) == pytest.approx(minutes, abs=1e-9)
    half = math.degrees(
        math.acos(
            (sine(-0.833) - sine(42) * sine(declination))
            / (math.cos(math.radians(42)) * math.cos(math.radians(declination)))
        )
    )
    assert float(day_length_h(42, day)) == pytest.approx(2 * half / 15, abs=1e-9)
