"""When the sun rises and sets in a region, and until when the morning stays cool: each half month of its season.

Cool means here: the air is not yet half-way from the low of the day to its high. No source read for this project says
how cool is cool enough, so the bound is our own. Three published curves of the day say when that is.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby

import numpy as np

from ..agronomy.diurnal import mornings_cool_until
from ..agronomy.seasons import Floats, in_calendar
from ..agronomy.sun import solar_to_clock_h, sun_times
from ..database.manual import ManualDatabase
from ..database.weather import Weather, past_seasons
from ..database.zones import utc_offset_hours
from ..model.region import Region

COOLER_SHARE = 0.5
"""The cooler half of the daily range."""


@dataclass(frozen=True)
class HalfMonth:
    """Days that are alike, with one offset of the clocks. Hours are those of the clocks on the middle day, decimal.

    `low_c` and `high_c` are the means of the past seasons. `warm_h` are the hours at which the morning gets warm, by
    the three curves, early to late; fewer where a curve has no cool morning. Where the sun stays up or down all day,
    `sunrise_h` and `sunset_h` are None, and `day_length_h` is 24 or 0.
    """

    first: date
    last: date
    low_c: float
    high_c: float
    day_length_h: float
    sunrise_h: float | None
    sunset_h: float | None
    warm_h: tuple[float, ...]


@dataclass(frozen=True)
class RegionHours:
    """The season of one region. `missing` names what the manual does not say of it; `halves` is empty then."""

    region: Region
    missing: tuple[str, ...]
    years: tuple[int, ...] = ()
    invented: bool = False
    halves: tuple[HalfMonth, ...] = ()


def region_hours(db: ManualDatabase, region: Region) -> RegionHours:
    """The hours of one region; none where its place, its time zone or its weather is not known."""
    weather = db.weather.get(region.region)
    latitude = _latitude(region, weather)
    facts = {"weather": weather, "latitude": latitude, "longitude": region.longitude, "time_zone": region.time_zone}
    missing = tuple(name for name, value in facts.items() if value is None)
    if weather is None or latitude is None or region.longitude is None or region.time_zone is None:
        return RegionHours(region, missing)
    past = past_seasons(weather, region.season, region.start)
    if not past.years:
        return RegionHours(region, ("weather",))
    lows, highs = (_celsius(values.mean(axis=0), weather) for values in in_calendar(past, region.season))
    halves = tuple(
        _half(region, days, latitude, region.longitude, offset, lows, highs)
        for days, offset in _spans(region, region.time_zone)
    )
    return RegionHours(region, (), past.years, weather.invented, halves)


def _latitude(region: Region, weather: Weather | None) -> float | None:
    """The latitude of the station: as the manual says, else as its file says."""
    if region.latitude is not None:
        return region.latitude
    return weather.latitude if weather is not None else None


def _celsius(values: Floats, weather: Weather) -> Floats:
    return values if weather.unit == "C" else (values - 32) * 5 / 9


def _spans(region: Region, zone: str) -> Iterator[tuple[list[date], float]]:
    """The days of each half month of a season, cut once more on the day on which clocks change, and the UTC offset."""
    length = (region.last_day - region.first_day).days + 1
    days = (region.first_day + timedelta(days=n) for n in range(length))

    def alike(day: date) -> tuple[int, int, bool, float]:
        return day.year, day.month, day.day > 15, utc_offset_hours(zone, day)

    for (_, _, _, offset), some in groupby(days, alike):
        yield list(some), offset


def _half(
    region: Region, days: list[date], latitude: float, longitude: float, offset: float, lows: Floats, highs: Floats
) -> HalfMonth:
    first = (days[0] - region.first_day).days
    some = slice(first, first + len(days))
    day = days[len(days) // 2].timetuple().tm_yday
    sun = sun_times(latitude, day)
    ends = mornings_cool_until(sun.sunrise_h, sun.sunset_h, share=COOLER_SHARE)[:, 0]

    def clock(solar_h: float) -> float:
        return float(solar_to_clock_h(solar_h, day, longitude_deg=longitude, utc_offset_h=offset))

    rises = bool(np.isfinite(sun.sunrise_h))
    return HalfMonth(
        first=days[0],
        last=days[-1],
        low_c=float(lows[some].mean()),
        high_c=float(highs[some].mean()),
        day_length_h=float(sun.day_length_h),
        sunrise_h=clock(float(sun.sunrise_h)) if rises else None,
        sunset_h=clock(float(sun.sunset_h)) if rises else None,
        warm_h=tuple(sorted(clock(float(end)) for end in ends if np.isfinite(end))),
    )
