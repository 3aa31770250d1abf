"""Degree-days of a day from the area under a wave through its low and high: sine or triangle, three cut-offs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np

from .averages import Day
from .readings import Array

Cutoff = Literal["horizontal", "intermediate", "vertical"]


@dataclass(frozen=True)
class Over:
    """What of a day lies above a threshold: the area in degree-days, and the share of the day from 0 to 1."""

    area: Array
    share: Array


Wave = Callable[[Array, Array, float], Over]


def sine(low: Array, high: Array, threshold: float) -> Over:
    """What a sine wave from `low` to `high` has above the threshold T.

    M = (high + low) / 2, W = (high - low) / 2, x = asin((T - M) / W):
    area = ((M - T)(pi/2 - x) + W cos x) / pi, share = (pi/2 - x) / pi.
    Baskerville & Emin 1969, Ecology 50:514-517; Zalom et al. 1983, table 5.
    Low 50, high 82, T 55: 11.85.
    """
    middle, half = (high + low) / 2, (high - low) / 2
    angle = np.arcsin(np.clip((threshold - middle) / half, -1.0, 1.0))
    area = ((middle - threshold) * (np.pi / 2 - angle) + half * np.cos(angle)) / np.pi
    return _by_case(low, high, threshold, area, (np.pi / 2 - angle) / np.pi)


def triangle(low: Array, high: Array, threshold: float) -> Over:
    """What a triangle from `low` up to `high` and back has above the threshold T.

    area = (high - T)^2 / (2 (high - low)), share = (high - T) / (high - low).
    Zalom et al. 1983, table 3. Low 50, high 82, T 55: 27 * 27 / 64 is 11.39.
    """
    share = (high - threshold) / (high - low)
    return _by_case(low, high, threshold, (high - threshold) * share / 2, share)


def _by_case(low: Array, high: Array, threshold: float, area: Array, share: Array) -> Over:
    """Days wholly under or wholly over the threshold need no wave: nothing, or the mean above it all day."""
    cases = [high <= threshold, low >= threshold]
    return Over(
        np.select(cases, [np.zeros_like(low), (high + low) / 2 - threshold], area),
        np.select(cases, [np.zeros_like(low), np.ones_like(low)], share),
    )


def half_day(wave: Wave, cutoff: Cutoff, low: Array, high: Array, day: Day) -> Array:
    """Degree-days at the rate of one day, for the wave between one low and one high.

    With A the area above a threshold (Zalom et al. 1983, Univ. of California leaflet 21373):
    horizontal, A(lower) - A(upper): development goes on at its fastest above upper;
    intermediate, A(lower) - 2 A(upper): it slows down above upper;
    vertical, A(lower) - A(upper) - (upper - lower) * share above upper: it stops above upper. Never under 0.
    """
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        gain = wave(low, high, day.lower).area
        if np.isfinite(day.upper):
            over = wave(low, high, day.upper)
            gain = gain - (2 if cutoff == "intermediate" else 1) * over.area
            if cutoff == "vertical":
                gain = gain - (day.upper - day.lower) * over.share
    return np.maximum(0.0, gain)


def single(wave: Wave, cutoff: Cutoff = "horizontal") -> Callable[[Day], Array]:
    """The rule for one wave a day, through the low of the day."""
    return lambda day: half_day(wave, cutoff, day.low, day.high, day)


def double(wave: Wave, cutoff: Cutoff = "horizontal") -> Callable[[Day], Array]:
    """The rule for two half-days: up from the low of the day, down to the low of the next day.

    Allen 1976, Environ. Entomol. 5:388-396 (sine); Zalom et al. 1983, tables 4 and 6. A next low above the high
    counts as the high. Each half is floored at 0 by itself.
    """

    def rule(day: Day) -> Array:
        falling_to = np.minimum(day.next_low, day.high)
        rising = half_day(wave, cutoff, day.low, day.high, day)
        return (rising + half_day(wave, cutoff, falling_to, day.high, day)) / 2

    return rule
