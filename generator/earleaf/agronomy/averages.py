"""Degree-days of a day from its mean: each rule says what is capped, what is raised, and in which order."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .readings import Array


@dataclass(frozen=True)
class Day:
    """What a rule may ask: readings of one shape and thresholds, all in one unit. No `upper` is infinity."""

    low: Array
    high: Array
    next_low: Array
    lower: float
    upper: float = np.inf
    low_cap: float = np.inf

    @property
    def mean(self) -> Array:
        return (self.low + self.high) / 2


def capped_mean(day: Day) -> Array:
    """max(0, min(mean, upper) - lower): the mean is capped and floored, single readings never.

    McMaster & Wilhelm 1997, Agric. For. Meteorol. 87:291-300, method 1.
    Low -2, high 8, lower 0: the mean is 3, so 3.
    """
    return np.maximum(0.0, np.minimum(day.mean, day.upper) - day.lower)


def clipped_readings(day: Day) -> Array:
    """(clip(high, lower, upper) + clip(low, lower, upper)) / 2 - lower: each reading is clipped before the mean.

    McMaster & Wilhelm 1997, method 2; with 50 and 86 F the modified corn method (Gilmore & Rogers 1958, Barger 1969).
    Low -2, high 8, lower 0: the low counts as 0, so 4.
    """
    low, high = np.clip(day.low, day.lower, day.upper), np.clip(day.high, day.lower, day.upper)
    return (low + high) / 2 - day.lower


def capped_high(day: Day) -> Array:
    """max(0, (min(high, upper) + low) / 2 - lower): only the high is capped, nothing is raised.

    DD60 of cotton; the cap of 93 F is that of the Univ. of Georgia cotton production guide 2011.
    Low 74, high 100, lower 60: 27 without the cap, 23.5 with it.
    """
    return np.maximum(0.0, (np.minimum(day.high, day.upper) + day.low) / 2 - day.lower)


def capped_apart(day: Day) -> Array:
    """max(0, (min(high, upper) + min(low, low cap)) / 2 - lower): high and low have caps of their own.

    DD50 of rice, Univ. of Arkansas. The base is read (Univ. of Missouri), the caps of 94 and 70 F are recalled.
    Low 75, high 97, lower 50: (94 + 70) / 2 - 50 is 32.
    """
    low, high = np.minimum(day.low, day.low_cap), np.minimum(day.high, day.upper)
    return np.maximum(0.0, (high + low) / 2 - day.lower)


def clipped_mean_of_capped(day: Day) -> Array:
    """max(lower, (clip(high, lower, upper) + min(low, upper)) / 2) - lower: a cold low still pulls the mean down.

    FAO AquaCrop, third way of counting. Low 2, high 20, lower 8, upper 30: the mean is 11, so 3.
    """
    mean = (np.clip(day.high, day.lower, day.upper) + np.minimum(day.low, day.upper)) / 2
    return np.maximum(mean, day.lower) - day.lower


def day_above(day: Day) -> Array:
    """1 for a day whose mean is above lower, else 0; a mean of exactly lower counts 0. The unit is days.

    Oklahoma State Univ., growth days above 40 F. Low 30, high 52, lower 40: the mean is 41, so 1.
    """
    return np.where(day.mean > day.lower, 1.0, 0.0)


def corn_heat_units(day: Day) -> Array:
    """(Ymax + Ymin) / 2, Ymax = 3.33 (high - 10) - 0.084 (high - 10)^2, Ymin = 1.8 (low - 4.4), each 0 or more; C.

    Ontario; Brown & Bootsma 1993; Agriculture and Agri-Food Canada. Ymax is largest near 29.8 C and then falls.
    Low 15, high 30: (33.0 + 19.08) / 2 is 26.04.
    """
    warm = day.high - 10.0
    by_day = np.maximum(0.0, 3.33 * warm - 0.084 * warm**2)
    by_night = np.maximum(0.0, 1.8 * (day.low - 4.4))
    return (by_day + by_night) / 2


def potato_days(day: Day) -> Array:
    """(5 p(T1) + 8 p(T2) + 8 p(T3) + 3 p(T4)) / 24 for four temperatures from low to high; 0 to 10 a day; C.

    T1 = low, T2 = (2 low + high) / 3, T3 = (low + 2 high) / 3, T4 = high. p is 0 at 7 C and at 30 C and beyond,
    10 at 21 C: 10 (1 - ((T - 21) / 14)^2) below it, 10 (1 - ((T - 21) / 9)^2) above. Sands, Hackett & Nix 1979.
    Low 21, high 21: 10.
    """
    steps = (day.low, (2 * day.low + day.high) / 3, (day.low + 2 * day.high) / 3, day.high)
    return sum((w * _potato_rate(t) for w, t in zip((5, 8, 8, 3), steps, strict=True)), np.zeros_like(day.low)) / 24


def _potato_rate(t_c: Array) -> Array:
    half_width_c = np.where(t_c < 21.0, 14.0, 9.0)
    return np.maximum(0.0, 10.0 * (1.0 - ((t_c - 21.0) / half_width_c) ** 2))
