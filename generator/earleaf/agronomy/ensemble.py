"""When a stage will be reached: this season so far, each past season as a possible rest, and what all of them say.

How the cases are combined. Each past season is one possible rest, all equally likely. Each of low, typical and high is
one voice: they are what sources or groups differ by, no source says how likely each is, so each counts the same. Every
pair of a season and a voice is one case. The cases of a stage are put in order of their day, "not reached" last, and
p10, p50 and p90 are the cases at the tenth, the middle and the ninetieth hundredth of that order. They are real cases
and whole days: nothing is averaged.

With N seasons the place of p is (N + 1) p from the early end, as after Weibull (1939); definition 6 of Hyndman and Fan
(1996, The American Statistician 50:361-365). A further season like those of the record then falls before p10 in one
season out of ten, however few the seasons. With less than nine seasons p10 and p90 are the first and the last case, and
cover less than eight seasons out of ten. The voices of one season are not seasons of their own: N stays the number of
seasons, and a case that is there three times changes nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .development import NOT_REACHED, NOT_STATED, TYPICAL, Days
from .seasons import Floats, Seasons, days_in_season, in_calendar

LATER = np.iinfo(np.int16).max - 1
"""A stand-in for "not reached" while cases are put in order."""


class PossibleSeasons(NamedTuple):
    """The season of `year` as it may come: lows and highs (years, days), the past season of each row in `years`."""

    year: int
    years: tuple[int, ...]
    t_min: Floats
    t_max: Floats


@dataclass(frozen=True)
class StageDays:
    """What all cases say of each stage: columns of shape (plantings, stages), NOT_REACHED or NOT_STATED in their place.

    p50 is NOT_STATED where there is no typical value: low and high alone make a window, not a date. NOT_REACHED as p90
    means that about a tenth of the cases or more do not get there before the season ends; less in a short record.
    `years_not_reached` (plantings, stages, 3) tells in how many of the `years` seasons low, typical and high are not
    reached; 0 where they are not stated.
    """

    p10: Days
    p50: Days
    p90: Days
    years_not_reached: Days
    years: int


def possible_seasons(
    past: Seasons, year: int, t_min_so_far: ArrayLike = (), t_max_so_far: ArrayLike = (), *, days: int | None = None
) -> PossibleSeasons:
    """The season of `year`, day by day as observed so far, then as in each past season: arrays (years, days).

    `t_min_so_far` and `t_max_so_far` (k,): the first k days of this season, from its first day, in the unit of `past`.
    `days`: how many days of the season are wanted, all of them if left out. Days run in the calendar of this season
    (`in_calendar`). A season of `past` that starts in `year` itself is left out: no season is its own rest.

    ValueError for a missing reading (NaN) in the days so far or in a wanted day of a past season: fill short gaps first
    (`fill_gaps`), leave out the season otherwise (`Seasons.without`); for more days than the season has; and for a past
    without a season.
    """
    length = days_in_season(year, past.start)
    wanted = length if days is None else days
    if not 0 < wanted <= length:
        raise ValueError(f"the season has {length} days, not {wanted}")
    past = past.without({year})
    if not past.years:
        raise ValueError("no past season to take the rest of this one from")
    if gaps := past.years_with_gaps(wanted):
        raise ValueError(f"readings are missing in the seasons that start in {', '.join(map(str, gaps))}")
    out = [values[:, :wanted].copy() for values in in_calendar(past, year)]
    for rows, readings in zip(out, (t_min_so_far, t_max_so_far), strict=True):
        so_far = np.asarray(readings, dtype=np.float64)
        if len(so_far) > length or len(so_far) != len(np.asarray(t_min_so_far)):
            raise ValueError("the days so far need one low and one high each, and must lie in the season")
        if np.isnan(so_far).any():
            raise ValueError(f"no reading for day {int(np.argmax(np.isnan(so_far)))} of this season")
        rows[:, : len(so_far)] = so_far[:wanted]
    return PossibleSeasons(year, past.years, out[0], out[1])


def combine(days: Days) -> StageDays:
    """p10, p50 and p90 of each stage over all years and all of low, typical and high; see the top of this module.

    `days` (plantings, years, stages, 3) as from `stage_days`. A voice is NOT_STATED in all years or in none. ValueError
    for another shape or for no year.

    Nine seasons, one requirement without spread: the first, the middle and the last day.

    >>> nine = np.repeat(np.arange(40, 49, dtype=np.int16), 3).reshape(1, 9, 1, 3)
    >>> one = combine(nine)
    >>> int(one.p10[0, 0]), int(one.p50[0, 0]), int(one.p90[0, 0])
    (40, 44, 48)
    """
    if days.ndim != 4 or days.shape[-1] != 3 or not days.shape[1]:
        raise ValueError(f"needed: days (plantings, years, stages, 3) of one year or more, not {days.shape}")
    plantings, years, stages, _ = days.shape
    stated = days[:, 0] != NOT_STATED
    voices = stated.sum(axis=-1)
    cases = days.transpose(0, 2, 1, 3).reshape(plantings, stages, years * 3)
    cases = np.where(cases == NOT_REACHED, LATER, np.where(cases == NOT_STATED, LATER + 1, cases)).astype(np.int16)
    cases.sort(axis=-1)
    p10, p50, p90 = (_at(cases, voices, years, p) for p in (0.1, 0.5, 0.9))
    p50[~stated[..., TYPICAL]] = NOT_STATED
    return StageDays(p10, p50, p90, (days == NOT_REACHED).sum(axis=1).astype(np.int16), years)


def _at(cases: Days, voices: NDArray[np.int64], years: int, p: float) -> Days:
    """The case at p in the order of cases, for each planting and stage.

    A case stands in the middle of its share, one part in `voices` of a season. A place half-way between two cases goes
    outwards, so that the interval is never too narrow by rounding; for p50 to the earlier.
    """
    place = voices * (years + 1) * p - (voices + 1) / 2
    place = np.round(place, 9)  # free of the dust of decimals
    nearest = np.floor(place + 0.5) if p > 0.5 else np.ceil(place - 0.5)
    index = np.clip(nearest, 0, np.maximum(voices * years - 1, 0)).astype(np.int64)
    found = np.take_along_axis(cases, index[..., None], axis=-1)[..., 0]
    return np.where(found == LATER, NOT_REACHED, np.where(found > LATER, NOT_STATED, found)).astype(np.int16)
