"""Sunrise, sunset and length of the day, for a latitude and a day of the year.

Declination and equation of time: low-precision formulas of the Astronomical Almanac, U.S. Naval Observatory (0.01
degrees and a few seconds for a known instant, 1950 to 2050). A day of the year is not an instant: leap years move the
sun by up to half a day, so we take the mean of the leap-year cycle 2025 to 2028. Sunrise is the upper edge of the sun
on a level horizon with usual refraction, its centre 0.833 degrees below (the convention of the almanac). Against an
almanac for year and place expect 2.5 minutes up to 50 degrees of latitude and 4 up to 60; more beyond, where the
sun grazes the horizon. Hills and air add minutes of their own.

Hours are decimal. Solar time has the sun highest at 12; `solar_to_clock_h` gives the time on a clock.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from .readings import Array, as_arrays

SUN_EDGE_DEG = -0.833
OBLIQUITY_DEG = 23.436  # in 2026
# Days from noon on 1 January 2000 to noon on 1 January 2026, moved to the mean of 2025 to 2028: the new years of these
# years lie at 0.94, 0.70, 0.46 and 0.22 days after whole tropical years (365.2422 days).
NEW_YEAR = 9497.0 - 0.12


@dataclass(frozen=True)
class SunTimes:
    """A day in local solar time, in hours, as arrays of one shape.

    Where the sun stays up `day_length_h` is 24, where it stays down 0; there is no sunrise or sunset then: NaN.
    """

    sunrise_h: Array
    sunset_h: Array
    day_length_h: Array


def declination_deg(day_of_year: ArrayLike) -> Array:
    """Degrees by which the sun at noon stands north of the equator; 1 January is day 1.

    sin(declination) = sin(obliquity) sin(longitude). Within 0.4 degrees in any year near 2026 and at any place.
    ValueError for days outside 1 to 366. Example: ``declination_deg(172)`` (21 June) is about 23.4.
    """
    _, longitude = _sun(day_of_year)
    return np.asarray(np.degrees(np.arcsin(np.sin(np.radians(OBLIQUITY_DEG)) * np.sin(longitude))))


def equation_of_time_min(day_of_year: ArrayLike) -> Array:
    """Minutes by which a sundial runs ahead of an even clock.

    With mean anomaly g and longitude l: 4 (-1.915 sin g - 0.020 sin 2g + 2.466 sin 2l - 0.053 sin 4l).
    ValueError for days outside 1 to 366. Example: ``equation_of_time_min(307)`` (3 November) is about 16.4.
    """
    anomaly, longitude = _sun(day_of_year)
    degrees = (
        -1.915 * np.sin(anomaly)
        - 0.020 * np.sin(2 * anomaly)
        + 2.466 * np.sin(2 * longitude)
        - 0.053 * np.sin(4 * longitude)
    )
    return np.asarray(4.0 * degrees)


def sun_times(latitude_deg: ArrayLike, day_of_year: ArrayLike) -> SunTimes:
    """Sunrise, sunset and day length in local solar time; latitudes and days broadcast, north is positive.

    With latitude f, declination d and edge e: cos(half day) = (sin e - sin f sin d) / (cos f cos d); 15 degrees are
    one hour. NaN in, NaN out. ValueError for a latitude beyond 90 degrees or a day outside 1 to 366.

    Example: at 42 degrees north on day 172 (21 June) the sun rises at 4.4 h and sets at 19.6 h, a day of 15.2 h.
    """
    latitude, day = as_arrays(latitude_deg=latitude_deg, day_of_year=day_of_year)
    if np.any(np.abs(latitude) > 90.0):
        raise ValueError(f"latitudes lie between -90 and 90 degrees, got {latitude[np.abs(latitude) > 90.0][0]:g}")
    f, d = np.radians(latitude), np.radians(declination_deg(day))
    cosine = (np.sin(np.radians(SUN_EDGE_DEG)) - np.sin(f) * np.sin(d)) / (np.cos(f) * np.cos(d))
    half_h = np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0))) / 15.0
    rises = np.abs(cosine) < 1.0
    return SunTimes(
        np.where(rises, 12.0 - half_h, np.nan), np.where(rises, 12.0 + half_h, np.nan), np.asarray(2.0 * half_h)
    )


def day_length_h(latitude_deg: ArrayLike, day_of_year: ArrayLike) -> Array:
    """Hours from sunrise to sunset: 24 where the sun stays up, 0 where it stays down. See `sun_times`.

    Example: ``day_length_h(0, 80)`` is about 12.1, for refraction and the size of the sun lengthen the day.
    """
    return sun_times(latitude_deg, day_of_year).day_length_h


def solar_to_clock_h(
    solar_h: ArrayLike, day_of_year: ArrayLike, *, longitude_deg: ArrayLike, utc_offset_h: ArrayLike
) -> Array:
    """The time on a clock at a solar hour; it may fall under 0 or over 24, on the day before or after.

    clock = solar + offset - longitude / 15 - equation of time; east is positive, so are clocks ahead of UTC. The
    offset includes summer time. All values broadcast. ValueError for a longitude beyond 180 degrees.

    Example: at 93.6 degrees west with clocks at UTC-5 the sun stands highest on day 172 at 13.27, that is 13:16.
    """
    hour, day, longitude, offset = as_arrays(
        solar_h=solar_h, day_of_year=day_of_year, longitude_deg=longitude_deg, utc_offset_h=utc_offset_h
    )
    if np.any(np.abs(longitude) > 180.0):
        raise ValueError(
            f"longitudes lie between -180 and 180 degrees, got {longitude[np.abs(longitude) > 180.0][0]:g}"
        )
    return np.asarray(hour + offset - longitude / 15.0 - equation_of_time_min(day) / 60.0)


def _sun(day_of_year: ArrayLike) -> tuple[Array, Array]:
    """Mean anomaly and ecliptic longitude of the sun at noon, in radians, for the mean of a leap-year cycle."""
    day = np.asarray(day_of_year, dtype=np.float64)
    wrong = (day < 1) | (day > 366)
    if np.any(wrong):
        raise ValueError(f"days of the year run from 1 to 366, got {day[wrong][0]:g}")
    days_since_2000 = NEW_YEAR + day - 1.0
    anomaly = np.radians(357.528 + 0.9856003 * days_since_2000)
    mean_longitude_deg = 280.460 + 0.9856474 * days_since_2000
    longitude = np.radians(mean_longitude_deg + 1.915 * np.sin(anomaly) + 0.020 * np.sin(2 * anomaly))
    return anomaly, longitude
