"""The temperature at an hour, and sunrise, against figures printed by others."""

from __future__ import annotations

import datetime as dt

import numpy as np
import pytest

from earleaf.agronomy.diurnal import LAGS, mornings_cool_until, sine_and_root, temperature_at, two_harmonics
from earleaf.agronomy.sun import declination_deg, equation_of_time_min, solar_to_clock_h, sun_times
from earleaf.database.zones import utc_offset_hours

PRINTED_IN_HUNDRED_THOUSANDTHS = 0.000005 + 1e-9


@pytest.mark.parametrize(("hour_h", "printed"), [(11, 23.91954), (20, 20.46866), (3, 13.35971)])
def test_parton_and_logan_1981(hour_h: int, printed: float) -> None:
    """Test values of the R package TrenchR (Buckley et al. 2023): Parton & Logan 1981 with North Carolina lags."""
    ours = temperature_at(hour_h, 10, 30, sunrise_h=6, sunset_h=18, lags=LAGS["north-carolina"])
    assert ours == pytest.approx(printed, abs=PRINTED_IN_HUNDRED_THOUSANDTHS)


def test_campbell_and_norman_1998() -> None:
    """Test value of the R package TrenchR (Buckley et al. 2023): Campbell & Norman 1998."""
    assert two_harmonics(11, 10, 30) == pytest.approx(25.08958, abs=PRINTED_IN_HUNDRED_THOUSANDTHS)


@pytest.mark.parametrize(("hour_h", "printed"), [(8, 17.65367), (2, 14.01487), (16, 27.94389), (20, 18.49743)])
def test_cesaraccio_2001(hour_h: int, printed: float) -> None:
    """Test values of the R package TrenchR (Buckley et al. 2023): Cesaraccio, Spano, Duce & Snyder 2001."""
    ours = sine_and_root(hour_h, 10, 30, t_low_next=12, sunrise_h=6, sunset_h=18)
    assert ours == pytest.approx(printed, abs=PRINTED_IN_HUNDRED_THOUSANDTHS)


def test_the_denver_curve_hour_by_hour() -> None:
    """No outside authority: a second calculation from the published formula and lags, made apart from this code."""
    second = {
        3: 12.587, 6: 10.665, 8: 18.237, 9: 21.622, 11: 26.951, 12: 28.691, 14: 29.993, 16: 28.273, 18: 23.792,
        20: 19.508,
    }  # fmt: skip
    ours = temperature_at(list(second), 10, 30, sunrise_h=6, sunset_h=18, lags=LAGS["denver-air-150-cm"])
    assert ours == pytest.approx(list(second.values()), abs=0.0006)


def test_the_morning_warms_when_the_published_curves_say_so() -> None:
    """Half-way from low to high, on the same 10 to 30 degree day from 6 to 18 h as the printed values above: by each
    curve the air is at 20 degrees when its cool morning ends, and cooler an hour before."""
    ends = mornings_cool_until([6.0], [18.0], share=0.5)[:, 0]
    curves = (
        lambda hour: temperature_at(hour, 10, 30, sunrise_h=6, sunset_h=18),
        lambda hour: two_harmonics(hour, 10, 30),
        lambda hour: sine_and_root(hour, 10, 30, t_low_next=10, sunrise_h=6, sunset_h=18),
    )
    for curve, end in zip(curves, ends, strict=True):
        assert curve(end) == pytest.approx(20.0, abs=0.1)  # one minute is a tenth of a degree at most
        assert curve(end - 1) < 18.5


PRINTED_SUN = [
    ("Decorah, Iowa", 43.3, -91.8, "America/Chicago", "2026-09-01", "6:32", "19:41"),
    ("Decorah, Iowa", 43.3, -91.8, "America/Chicago", "2026-09-15", "6:47", "19:16"),
    ("Decorah, Iowa", 43.3, -91.8, "America/Chicago", "2026-09-30", "7:04", "18:49"),
    ("Wellington, midwinter", -41.3, 174.8, "Pacific/Auckland", "2026-06-21", "7:48", "16:58"),
    ("Sydney, midwinter", -33.9, 151.2, "Australia/Sydney", "2026-06-21", "7:00", "16:54"),
]
"""Clock times as printed. Decorah: Luther College, decadal weather pages, table of September, after the U.S. Naval
Observatory. Wellington and Sydney: D. Steel, answer on askascientist.nz."""


@pytest.mark.parametrize(("place", "latitude", "longitude", "zone", "day", "rise", "sets"), PRINTED_SUN)
def test_sunrise_on_the_clock_as_printed(
    place: str, latitude: float, longitude: float, zone: str, day: str, rise: str, sets: str
) -> None:
    """Within 3 minutes: the printed hours are whole minutes of one year, the coordinates are to a tenth of a degree."""
    date = dt.date.fromisoformat(day)
    of_year = date.timetuple().tm_yday
    sun = sun_times(latitude, of_year)
    for solar_h, printed in ((sun.sunrise_h, rise), (sun.sunset_h, sets)):
        clock_h = solar_to_clock_h(solar_h, of_year, longitude_deg=longitude, utc_offset_h=utc_offset_hours(zone, date))
        hours, minutes = map(int, printed.split(":"))
        assert float(clock_h) * 60 == pytest.approx(hours * 60 + minutes, abs=3.0), place


def test_the_sun_at_the_turns_of_the_year() -> None:
    """Astronomical Almanac: obliquity 23.44 degrees; equinox 20 March; sundial extremes of 14.2, 3.7, 6.5, 16.4 min."""
    assert declination_deg([172, 355]) == pytest.approx([23.44, -23.44], abs=0.01)
    assert declination_deg([79, 266]) == pytest.approx([0.0, 0.0], abs=0.4)
    assert equation_of_time_min([42, 134, 207, 307]) == pytest.approx([-14.2, 3.7, -6.5, 16.4], abs=0.1)


@pytest.mark.parametrize(
    ("latitude_deg", "minutes"), [(0, 1.0), (-35, 2.0), (20, 1.5), (35, 2.0), (42, 2.5), (50, 2.5), (60, 4.0)]
)
@pytest.mark.parametrize("longitude_deg", [0.0, -93.6, 150.0])
def test_sunrise_and_sunset_against_a_reference_library(
    latitude_deg: float, minutes: float, longitude_deg: float
) -> None:
    """Outside authority: astral, which takes Meeus' Astronomical Algorithms for the instant, over a leap-year cycle."""
    astral = pytest.importorskip("astral")
    sun = pytest.importorskip("astral.sun")
    offset_h = round(longitude_deg / 15)
    zone, place = dt.timezone(dt.timedelta(hours=offset_h)), astral.Observer(latitude_deg, longitude_deg)
    for date in (dt.date(2025, 1, 1) + dt.timedelta(days=n) for n in range(0, 4 * 365, 11)):
        midnight = dt.datetime.combine(date, dt.time(), zone)
        theirs = [f(place, date, tzinfo=zone) - midnight for f in (sun.sunrise, sun.noon, sun.sunset)]
        day = date.timetuple().tm_yday
        ours = sun_times(latitude_deg, day)
        clock_h = solar_to_clock_h(
            [float(ours.sunrise_h), 12.0, float(ours.sunset_h)],
            day,
            longitude_deg=longitude_deg,
            utc_offset_h=offset_h,
        )
        assert np.abs(clock_h * 60 - [t.total_seconds() / 60 for t in theirs]).max() <= minutes, date


@pytest.mark.parametrize(
    ("name", "printed"),
    [
        ("denver-air-150-cm", (1.86, 2.20, -0.17)),
        ("denver-air-10-cm", (1.52, 2.00, -0.18)),
        ("denver-soil-surface", (0.50, 1.81, 0.49)),
        ("north-carolina", (2.59, 2.20, 1.55)),
        ("apsim", (1.5, 4.0, 1.0)),
    ],
)
def test_the_lags_are_those_printed(name: str, printed: tuple[float, float, float]) -> None:
    """Lag of the high, coefficient of the night, lag of the low: Parton & Logan 1981, Agric. Meteorol. 23:205-216, for
    Denver; Wann, Yen & Gold 1985 for North Carolina; the help of the R package weaana for the crop model."""
    lags = LAGS[name]
    assert (lags.high_h, lags.night, lags.low_h) == printed


def test_a_day_that_hardly_ends_is_looked_at_to_its_end() -> None:
    """Sun from 0.05 to 23.95 h, and a share of 1: every curve is at or under its own high all day long."""
    ends = mornings_cool_until([0.05], [23.95], share=1.0)[:, 0]
    assert ends[1:] == pytest.approx([23.95, 23.95], abs=1 / 60 + 1e-9)
