"""The temperature at an hour of the day, from the low and high of the day, and the cooler hours for field work.

Temperatures are in any one unit; a curve runs between the low and high it is given. Hours are decimal, in whatever
time sunrise and sunset are given in: solar time as from `sun.sun_times`, or clock time if both were moved to it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .readings import Array, as_arrays, check_pairs, plain

PARTON_LOGAN = "Parton & Logan 1981, Agric. Meteorol. 23:205-216"


@dataclass(frozen=True)
class Lags:
    """Parameters of the curve: how late high and low come, and how fast the night cools."""

    high_h: float  # a: hours from midday to the high
    night: float  # b: coefficient of cooling, without unit
    low_h: float  # c: hours from sunrise to the low
    place: str
    source: str


# The set for soil at 10 cm is left out: its low comes later than twice its high (c > 2a), and the form of the day used
# here cannot draw that.
LAGS: Mapping[str, Lags] = MappingProxyType(
    {
        "denver-air-150-cm": Lags(1.86, 2.20, -0.17, "air at 150 cm, Colorado", PARTON_LOGAN),
        "denver-air-10-cm": Lags(1.52, 2.00, -0.18, "air at 10 cm, Colorado", PARTON_LOGAN),
        "denver-soil-surface": Lags(0.50, 1.81, 0.49, "soil surface, Colorado", PARTON_LOGAN),
        "north-carolina": Lags(2.59, 2.20, 1.55, "air, mean of five sites, North Carolina", "Wann, Yen & Gold 1985"),
        "apsim": Lags(1.50, 4.00, 1.00, "air, as set in a crop model", "APSIM weather utility"),
    }
)
AIR = LAGS["denver-air-150-cm"]


@dataclass(frozen=True)
class CoolHours:
    """The cool spans between sunrise and sunset, in hours, as arrays of one shape; NaN where there is no such span.

    A day that stays cool is one span: the morning runs to sunset.
    """

    morning_from_h: Array
    morning_to_h: Array
    evening_from_h: Array
    evening_to_h: Array


def temperature_at(
    hour_h: ArrayLike,
    t_low: ArrayLike,
    t_high: ArrayLike,
    *,
    sunrise_h: ArrayLike,
    sunset_h: ArrayLike,
    lags: Lags = AIR,
) -> float | NDArray[np.float64]:
    """The temperature at an hour: a sine by day, an exponential fall by night (Parton & Logan 1981).

    With low n, high x, sunrise r, sunset s, Y = s - r and the lags a, b, c, from r + c to s:
    T = n + (x - n) sin(pi (t - r - c) / (Y + 2(a - c))); at all other hours, m hours after sunset:
    T = n + (T at sunset - n) exp(-b m / (24 - Y + c)). The night uses the low of the same day.

    All values broadcast; single numbers give a float. NaN in, NaN out; NaN too where the lags do not fit into the day
    (sunset before the low). ValueError for a low above its high. The paper writes the day as sin(pi m / (Y + 2a)); the
    form here has its high exactly a hours after midday.

    Low 10, high 30, sunrise 6, sunset 18:

    >>> round(temperature_at(11, 10, 30, sunrise_h=6, sunset_h=18, lags=LAGS["north-carolina"]), 5)
    23.91954
    """
    hour, low, high, sunrise, sunset = as_arrays(
        hour_h=hour_h, t_low=t_low, t_high=t_high, sunrise_h=sunrise_h, sunset_h=sunset_h
    )
    check_pairs(low, high)
    curve = _Curve.of(sunrise, sunset, lags)
    since_low = np.round(hour - curve.low_h, 9) % 24.0  # the hour of the low itself is day, whatever floats make of it
    by_day = np.sin(np.pi * since_low / curve.wave_h)
    by_night = curve.at_sunset * np.exp(-lags.night * (since_low - curve.sunset_after_h) / curve.night_h)
    share = np.where(since_low < curve.sunset_after_h, by_day, by_night)
    return plain(np.asarray(low + (high - low) * np.where(curve.holds, share, np.nan)))


def two_harmonics(hour_h: ArrayLike, t_low: ArrayLike, t_high: ArrayLike) -> float | NDArray[np.float64]:
    """The temperature at a solar hour from two harmonics, the same all year (Campbell & Norman 1998).

    w = pi/12: share = 0.44 - 0.46 sin(0.9 + w t) + 0.11 sin(0.9 + 2 w t); T = low + share (high - low). After the high
    give the low of the next day. All values broadcast. NaN in, NaN out. ValueError for a low above its high.

    >>> round(two_harmonics(11, 10, 30), 5)
    25.08958
    """
    hour, low, high = as_arrays(hour_h=hour_h, t_low=t_low, t_high=t_high)
    check_pairs(low, high)
    angle = np.pi / 12.0 * hour
    share = 0.44 - 0.46 * np.sin(0.9 + angle) + 0.11 * np.sin(0.9 + 2.0 * angle)
    return plain(np.asarray(low + share * (high - low)))


def sine_and_root(
    hour_h: ArrayLike,
    t_low: ArrayLike,
    t_high: ArrayLike,
    *,
    t_low_next: ArrayLike,
    sunrise_h: ArrayLike,
    sunset_h: ArrayLike,
) -> float | NDArray[np.float64]:
    """The temperature at an hour: two sines by day, a square root by night (Cesaraccio, Spano, Duce & Snyder 2001).

    Low n, next low p, high x at sunset s less 4 h; at sunset o = x - 0.39 (x - p). From sunrise r to the high:
    n + (x - n) sin(pi/2 (t - r)/(s - 4 - r)); then o + (x - o) sin(pi/2 (1 + (t - s + 4)/4)); by night, m hours after
    sunset: o + (p - o) sqrt(m / (r + 24 - s)). Int. J. Biometeorol. 45:161-169.

    All values broadcast; single numbers give a float. NaN in, NaN out; NaN too for a day of 4 hours or less.
    ValueError for a low, today's or the next, above the high.

    >>> round(sine_and_root(8, 10, 30, t_low_next=12, sunrise_h=6, sunset_h=18), 5)
    17.65367
    """
    hour, low, high, after, sunrise, sunset = as_arrays(
        hour_h=hour_h, t_low=t_low, t_high=t_high, t_low_next=t_low_next, sunrise_h=sunrise_h, sunset_h=sunset_h
    )
    check_pairs(low, high)
    check_pairs(after, high)
    length, since = sunset - sunrise, (hour - sunrise) % 24.0
    to_high = np.where(length > 4.0, length - 4.0, np.nan)
    at_sunset = high - 0.39 * (high - after)
    rising = low + (high - low) * np.sin(np.pi / 2.0 * since / to_high)
    falling = at_sunset + (high - at_sunset) * np.sin(np.pi / 2.0 * (1.0 + (since - to_high) / 4.0))
    dark = np.maximum(0.0, since - length) / (24.0 - length)
    night = at_sunset + (after - at_sunset) * np.sqrt(dark)
    by_part = np.where(since <= to_high, rising, np.where(since < length, falling, night))
    return plain(np.where(np.isnan(to_high + low + high + after), np.nan, by_part))


def cool_hours(
    t_low: ArrayLike,
    t_high: ArrayLike,
    *,
    sunrise_h: ArrayLike,
    sunset_h: ArrayLike,
    share: float | None = None,
    limit: ArrayLike | None = None,
    lags: Lags = AIR,
) -> CoolHours:
    """The daylight hours in which the curve of `temperature_at` is at or under a bound, solved without steps.

    Give one bound: `share`, a part of the way from low to high (0.5 is the cooler half of the range), or `limit`, a
    temperature. Which bound is right is for the lab and the team to say; no source read here gives one. The night
    before is taken to be like the night after. All values broadcast. NaN in, NaN out, as for polar days.

    ValueError for a low above its high, no bound or two, or a share outside 0 to 1.

    Example: low 10, high 30, sunrise 6, sunset 18, share 0.5: cool from 6 to 8.51 h and not again before sunset,
    where it is still 23.8.
    """
    if (share is None) == (limit is None):
        raise ValueError("give either share or limit")
    if share is not None and not 0.0 <= share <= 1.0:
        raise ValueError(f"share lies between 0 and 1, got {share:g}")
    low, high, sunrise, sunset, bound = as_arrays(
        t_low=t_low, t_high=t_high, sunrise_h=sunrise_h, sunset_h=sunset_h, limit=np.nan if limit is None else limit
    )
    check_pairs(low, high)
    if share is not None:
        part = np.where(np.isnan(low + high), np.nan, share)
    else:
        with np.errstate(divide="ignore", invalid="ignore"):
            part = np.where(bound >= high, np.inf, np.where(bound < low, -np.inf, (bound - low) / (high - low)))
        part = np.where(np.isnan(low + high + bound), np.nan, part)
    return _Curve.of(sunrise, sunset, lags).cool(part)


def mornings_cool_until(sunrise_h: ArrayLike, sunset_h: ArrayLike, *, share: float) -> Array:
    """When the morning gets warm by each of three published curves: solar hours of shape (3, days).

    `sunrise_h` and `sunset_h` (days,) in solar time. An answer is the last minute of the first span of daylight in
    which the air is at or under `share` of the way from the low of the day to its high; NaN where the day starts
    warmer, and for polar days. A share has no temperature in it, so no low and high are asked. In order: sine and
    exponential (`cool_hours`), two harmonics, sine and root. ValueError for a share outside 0 to 1.

    >>> mornings_cool_until([6.0], [18.0], share=0.5).round(2).ravel().tolist()
    [8.51, 9.45, 8.67]
    """
    sunrise, sunset = (np.atleast_1d(np.asarray(hours, dtype=np.float64)) for hours in (sunrise_h, sunset_h))
    first = cool_hours(0.0, 1.0, sunrise_h=sunrise, sunset_h=sunset, share=share)
    starts_cool = first.morning_from_h <= sunrise + 1 / 60
    minutes = sunrise[:, None] + np.arange(24 * 60) / 60.0
    by_day = minutes <= sunset[:, None]
    others = [
        np.asarray(two_harmonics(minutes, 0.0, 1.0)),
        np.asarray(
            sine_and_root(minutes, 0.0, 1.0, t_low_next=0.0, sunrise_h=sunrise[:, None], sunset_h=sunset[:, None])
        ),
    ]
    cool = np.stack([np.logical_and.accumulate((values <= share) & by_day, axis=1).sum(axis=1) for values in others])
    ends = np.where(cool > 0, sunrise + (cool - 1) / 60.0, np.nan)
    return np.concatenate([np.where(starts_cool, first.morning_to_h, np.nan)[None], ends])


@dataclass(frozen=True)
class _Curve:
    """The day of Parton & Logan as a share of its range: up from the low, over the high, down through the night."""

    sunrise_h: Array
    sunset_h: Array
    low_h: Array  # the hour of the low
    sunset_after_h: Array  # hours from the low to sunset
    wave_h: Array  # hours of the half sine wave
    night_h: Array  # hours from sunset to the next low
    at_sunset: Array  # share of the range at sunset
    holds: NDArray[np.bool_]  # whether sunset comes after the low and before the wave is over
    night: float

    @classmethod
    def of(cls, sunrise: Array, sunset: Array, lags: Lags) -> _Curve:
        length = sunset - sunrise
        until_sunset, wave = length - lags.low_h, length + 2.0 * (lags.high_h - lags.low_h)
        at_sunset = np.sin(np.pi * until_sunset / wave)
        low = sunrise + lags.low_h
        night = 24.0 - length + lags.low_h
        holds = (until_sunset > 0) & (until_sunset < wave)
        return cls(sunrise, sunset, low, until_sunset, wave, night, at_sunset, holds, lags.night)

    def warm_from_to(self, part: Array) -> tuple[Array, Array]:
        """Hours after the low at which the curve goes above the share `part` of its range, and comes down to it."""
        up = np.arcsin(np.clip(part, 0.0, 1.0)) / np.pi * self.wave_h
        with np.errstate(divide="ignore", invalid="ignore"):
            dark = -np.log(np.clip(part, 0.0, 1.0) / self.at_sunset) * self.night_h / self.night
        at_night = self.sunset_after_h + np.clip(dark, 0.0, self.night_h)
        by_day = self.wave_h - up
        return up, np.where(by_day < self.sunset_after_h, by_day, at_night)

    def cool(self, part: Array) -> CoolHours:
        """The spans between sunrise and sunset at or under the share `part` of the range."""
        up, down = self.warm_from_to(part)
        top = np.where(self.wave_h / 2.0 <= self.sunset_after_h, 1.0, self.at_sunset)
        always, never = part >= top, part < 0.0
        start = np.where(always, self.sunrise_h, np.maximum(self.sunrise_h, self.low_h + down - 24.0))
        end = np.where(always, self.sunset_h, np.minimum(self.low_h + up, self.sunset_h))
        again = self.low_h + down
        morning = self.holds & ~never & (end > start)
        evening = self.holds & ~never & ~always & (again < self.sunset_h)
        return CoolHours(
            np.where(morning, start, np.nan),
            np.where(morning, end, np.nan),
            np.where(evening, again, np.nan),
            np.where(evening, self.sunset_h, np.nan),
        )
