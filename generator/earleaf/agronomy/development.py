"""From daily degree-days to the day on which each stage is reached, for many plantings and many years at once.

A stage is reached on the first day on which the running total is at or over what the stage needs. Stages come in legs:
a leg has a start of its own, a daily value of its own and a list of stages. Models in days are the same with a daily
value of one, `calendar_days`.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .seasons import Floats

Days = NDArray[np.int16]

LOW, TYPICAL, HIGH = 0, 1, 2
"""The last axis of requirements and of days. They are spreads between sources, not statistical limits."""

NOT_REACHED = -1
"""Instead of a day: the stage was not reached before the season ended, or its count never began."""

NOT_STATED = -2
"""Instead of a day: no source states this requirement, or the stage is past."""

SLACK = 1e-6
"""Degree-days forgiven, so that rounding inside the machine never makes a stage a day late."""


def calendar_days(years: int, days: int) -> Floats:
    """The daily value of a model in days: one a day, shape (years, days).

    >>> calendar_days(1, 3).tolist()
    [[1.0, 1.0, 1.0]]
    """
    return np.ones((years, days))


def stage_days(daily: ArrayLike, starts: ArrayLike, requirements: ArrayLike, *, counted_from: int = 1) -> Days:
    """The column of the day on which each stage is reached: shape (plantings, years, stages, estimates).

    `daily` (years, days): degree-days of each day of the seasons of one station, never negative, in the unit of the
    requirements; days of all rows share one calendar (`in_calendar`). It is summed once, then searched.
    `starts`: columns of the start event, one a planting (plantings,), or one a season (plantings, years), or the answer
    of an earlier leg for one stage (plantings, years, estimates). NOT_REACHED and NOT_STATED are passed on.
    `requirements` (stages, estimates) or (plantings, stages, estimates): totals since the start, of one estimate or of
    low, typical, high. NaN gives NOT_STATED; 0 or less is reached on the day of the start event itself.
    `counted_from`: 1 counts from the day after the start event (North Dakota Agricultural Weather Network; Ohio State
    University fact sheet AGF-101); 0 counts that day too, as for a calendar start such as 1 January.

    ValueError for a start outside the days, a negative value, a season without a value on the first counted day, or a
    missing value (NaN) after it. NaN at the end of a row is the end of that record: later stages are not reached.

    >>> stage_days([[10.0, 10.0, 10.0, 10.0]], starts=[0], requirements=[[20.0], [25.0], [90.0]])[0, 0, :, 0].tolist()
    [2, 3, -1]
    """
    value = np.asarray(daily, dtype=np.float64)
    need = np.asarray(requirements, dtype=np.float64)
    if value.ndim != 2 or need.ndim not in (2, 3):
        raise ValueError(
            f"needed: daily (years, days), requirements (.., stages, estimates); not {value.shape}, {need.shape}"
        )
    begin = np.asarray(starts)
    if begin.ndim == 1 and need.ndim == 2:  # plantings of one day have one answer
        once, of_planting = np.unique(begin, return_inverse=True)
        return _search(value, once, need, counted_from)[of_planting]
    return _search(value, begin, need, counted_from)


def restarted(requirements: ArrayLike, seen: ArrayLike) -> Floats:
    """What each later stage still needs once a stage was seen in the field: shape (plantings, stages, 3).

    `requirements` (stages, 3) or (plantings, stages, 3): low, typical, high of stages that share one start and one
    daily value, in the order in which the crop passes them. `seen` (plantings,): the index of the stage that was
    seen, -1 for none (the row then stays as it is). Give the day it was seen as the start to `stage_days`.

    The count begins anew and uses the differences that follow, as the models say. The part of the spread that was
    there when the stage was seen is settled: each side keeps only what the later stage has beyond it, and never
    grows. The seen stage needs 0; earlier ones are NaN. Without a typical value the middle of the bracket carries the
    difference, and the typical value stays NaN. ValueError for low above high, and for an index that is no stage.

    Corn, degree-days after V6 and V10 of 592, 607, 624 and 920, 935, 960 since planting: V10 comes 328, 328 or 336
    after V6 was seen.

    >>> restarted([[592, 607, 624], [920, 935, 960]], [0])[0].tolist()
    [[0.0, 0.0, 0.0], [328.0, 328.0, 336.0]]
    """
    index = np.asarray(seen, dtype=np.int64)
    need = np.asarray(requirements, dtype=np.float64)
    need = np.broadcast_to(need, (len(index), *need.shape[-2:]))
    _check_order(need)
    if ((index < -1) | (index >= need.shape[1])).any():
        raise ValueError(f"a seen stage must be one of the {need.shape[1]} stages")
    low, typical, high = (need[..., n] for n in (LOW, TYPICAL, HIGH))
    centre = np.where(np.isnan(typical), (low + high) / 2, typical)
    at = (np.arange(len(index)), np.maximum(index, 0))
    gap = centre - centre[at][:, None]
    below = np.maximum((centre - low) - (centre - low)[at][:, None], 0)
    above = np.maximum((high - centre) - (high - centre)[at][:, None], 0)
    middle = gap + 0 * (typical + typical[at][:, None])  # NaN where either has no typical value
    after = np.maximum(np.stack([gap - below, middle, gap + above], axis=-1), 0)
    place = np.arange(need.shape[1]) - index[:, None]
    after = np.where((place > 0)[..., None], after, np.where((place == 0)[..., None], 0.0, np.nan))
    return np.where((index < 0)[:, None, None], need, after)


def adjusted(requirements: ArrayLike, *, factor: ArrayLike = 1.0, shift: ArrayLike = 0.0) -> Floats:
    """Requirements as one planting has them, `requirements x factor + shift`: shape (plantings, stages, 3).

    `requirements` (stages, 3) or (plantings, stages, 3). `factor` and `shift`: one number, or one for each stage
    (stages,), or (plantings, stages), or (plantings, 1) for all stages alike; shift in the unit of the requirements.
    For another maturity group, for a total counted from emergence, or for late planting with `late_planting`.
    ValueError where a requirement falls under 0 or low comes out above high.

    A corn hybrid rated from emergence needs 115 (F) more when counted from planting (Nielsen, Purdue University):

    >>> adjusted([[2500, 2600, 2700]], shift=115).tolist()
    [[[2615.0, 2715.0, 2815.0]]]
    """
    need = np.asarray(requirements, dtype=np.float64)
    need = need if need.ndim == 3 else need[None]
    stages = [np.atleast_1d(np.asarray(v, dtype=np.float64))[..., None] for v in (factor, shift)]
    out = np.asarray(need * stages[0] + stages[1], dtype=np.float64)
    if (out < 0).any():
        raise ValueError("an adjustment makes a stage need less than nothing: is the planting date right?")
    _check_order(out)
    return out


def late_planting(days_late: ArrayLike, per_day: ArrayLike) -> Floats:
    """The shift of each stage for a late planting: shape (plantings, stages), for `adjusted`.

    `days_late` (plantings,): days after the date from which the rule counts; earlier plantings (negative) get no shift.
    `per_day`: what a stage needs less for each day, a number or (stages,); 0 for stages the rule does not speak of.

    Corn needs 6.8 degree-days (F) less from planting to black layer for each day after 1 May (Nielsen and others 2002,
    Agronomy Journal 94:549-558; Indiana and Ohio). Planted on 31 May, a hybrid rated 2700 needs 2496:

    >>> adjusted([[2700.0] * 3], shift=late_planting([30], 6.8)).tolist()
    [[[2496.0, 2496.0, 2496.0]]]
    """
    late = np.maximum(np.asarray(days_late, dtype=np.float64), 0)
    return np.asarray(-late[:, None] * np.atleast_1d(np.asarray(per_day, dtype=np.float64)))


def from_rating(ratings: ArrayLike, fractions: ArrayLike, span: float) -> Floats:
    """Requirements of the last stages from a hybrid's own rating: shape (plantings, stages, 3), all three alike.

    `ratings` (plantings,): degree-days from planting to the last stage; `span`: those of them that lie between the
    first of these stages and the last; `fractions` (stages,): how far along the span each stage lies, from 0 to 1. No
    spread is known then. ValueError for a fraction outside 0 to 1.

    Corn rated 2700 with 1300 from silk to black layer (Kansas State University, mid-season hybrids); silk, dough taken
    at 0.4, and black layer:

    >>> from_rating([2700.0], [0, 0.4, 1], 1300)[0, :, 0].tolist()
    [1400.0, 1920.0, 2700.0]
    """
    part = np.asarray(fractions, dtype=np.float64)
    if ((part < 0) | (part > 1)).any():
        raise ValueError("a fraction of the way must lie between 0 and 1")
    need = np.asarray(ratings, dtype=np.float64)[:, None] - span * (1 - part)
    return np.repeat(need[..., None], 3, axis=-1)


def _search(value: Floats, starts: NDArray[np.integer], need: Floats, counted_from: int) -> Days:
    """`stage_days` of checked arrays: sum each season once, then look up each total that is asked for."""
    years, days = value.shape
    begin = _each_start(starts, years, days, need)
    need = np.broadcast_to(need, (len(begin), *need.shape[-2:]))
    used = begin[begin >= 0]
    total = _running_total(value, int(used.min()) + counted_from if used.size else days)
    first = np.clip(begin + counted_from, 0, days)[:, :, None, :]
    after = np.empty((len(begin), years, *need.shape[1:]), dtype=np.int16)
    for year in range(years):
        goal = total[year][first[:, year]] + (need - SLACK)
        after[:, year] = np.searchsorted(total[year], goal)
    start = begin[:, :, None, :]
    day = np.where(after > days, NOT_REACHED, np.maximum(after - 1, start))
    day = np.where(start == NOT_REACHED, NOT_REACHED, day)
    return np.where((start == NOT_STATED) | np.isnan(need)[:, None], NOT_STATED, day).astype(np.int16)


def _each_start(begin: NDArray[np.integer], years: int, days: int, need: Floats) -> Days:
    """The starts as (plantings, years, estimates), checked."""
    if begin.ndim not in (1, 2, 3) or not np.issubdtype(begin.dtype, np.integer):
        raise ValueError(f"starts must be whole columns of one to three axes, not {begin.dtype} {begin.shape}")
    if ((begin >= days) | (begin < NOT_STATED)).any():
        wrong = begin[(begin >= days) | (begin < NOT_STATED)].flat[0]
        raise ValueError(f"a planting starts on day {wrong} of the season, outside the weather of {days} days")
    shape = (len(begin), years, need.shape[-1])
    return np.broadcast_to(begin.reshape(begin.shape + (1,) * (3 - begin.ndim)), shape).astype(np.int16)


def _running_total(value: Floats, first: int) -> Floats:
    """The total after 0, 1, 2 .. days, shape (years, days + 1); days before column `first` need no value."""
    missing = np.isnan(value)
    ended = np.logical_and.accumulate(missing[:, ::-1], axis=1)[:, ::-1]
    used = np.arange(value.shape[1]) >= first
    ended[:, first : first + 1] = False  # a season that ends before it begins is a gap
    if (gaps := np.argwhere(missing & ~ended & used)).size:
        year, day = gaps[0]
        raise ValueError(f"no degree-days for day {day} of season {year}: fill the gap or leave out the season")
    if (value < 0).any():
        raise ValueError("degree-days are never negative")
    total = np.zeros((value.shape[0], value.shape[1] + 1))
    np.cumsum(np.where(missing, 0.0, value), axis=1, out=total[:, 1:])
    return total


def _check_order(need: Floats) -> None:
    """ValueError where low, typical and high do not follow each other, or low and high are not both there."""
    low, typical, high = (need[..., n] for n in (LOW, TYPICAL, HIGH))
    stated = ~np.isnan(typical)
    if (np.isnan(low) != np.isnan(high)).any() or (stated & np.isnan(low)).any():
        raise ValueError("a requirement needs both low and high")
    if ((low > high) | (typical < low) | (typical > high)).any():
        raise ValueError("a requirement must have low, typical and high in this order")
