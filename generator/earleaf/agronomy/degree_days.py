"""Degree-days from daily low and high, by every published way of counting that Earleaf knows.

A total means nothing without its method and thresholds: never compare totals of different methods or units.
"""

from __future__ import annotations

from typing import overload

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .averages import Day
from .methods import METHODS, Limits, Method
from .readings import as_arrays, check_pairs, next_lows, plain

__all__ = ["METHODS", "Method", "degree_days", "next_lows", "small_grain_degree_days"]

NEAR = 0.12  # thresholds printed in whole or tenth degrees C are this near to the exact ones: 21 for 70 F
BY_STATE = {
    "ndawn-small-grain": "its cap changes at two leaves: use ndawn-small-grain-early up to two leaves and "
    "ndawn-small-grain-late after, or small_grain_degree_days() for a run of days from planting"
}


@overload
def degree_days(
    t_min: float,
    t_max: float,
    *,
    method: str,
    lower: float,
    upper: float | None = None,
    t_min_next: float | None = None,
) -> float: ...
@overload
def degree_days(
    t_min: ArrayLike,
    t_max: ArrayLike,
    *,
    method: str,
    lower: float,
    upper: float | None = None,
    t_min_next: ArrayLike | None = None,
) -> NDArray[np.float64]: ...
def degree_days(
    t_min: ArrayLike,
    t_max: ArrayLike,
    *,
    method: str,
    lower: float,
    upper: float | None = None,
    t_min_next: ArrayLike | None = None,
) -> float | NDArray[np.float64]:
    """Degree-days of each day, from its low and high.

    `t_min`, `t_max`: numbers or arrays of any shapes that broadcast. The result has the broadcast shape; single
    numbers give a float. Readings and thresholds are in one unit, F or C, and so is the result. A missing reading
    (NaN) gives NaN. Nothing is rounded, and no result is under 0.

    `method`: an id of `METHODS`; underscores are read as dashes. Families, with low n, high x, lower L, upper U:

    - mean first (McMaster & Wilhelm 1997, method 1): max(0, min((x + n)/2, U) - L);
    - readings clipped first (their method 2; modified 86/50): (clip(x, L, U) + clip(n, L, U))/2 - L;
    - crop rules: DD60, rice DD50, small grains, sugar beet, alfalfa, peanut, corn heat units, P-days;
    - waves (Zalom et al. 1983, tables 3 to 6): A(L) - A(U), A the area of a sine or triangle above a threshold; with
      `-intermediate` A(L) - 2 A(U); with `-vertical` nothing counts while the wave is above U.

    Each entry of `METHODS` holds formula and source; its `rule` says more. `t_min_next`, the low of the next day
    (see `next_lows`), is asked by the double methods only, and passed over by the others. Methods made for one crop
    take its printed thresholds only, in F or C (C within 0.12), so that a slip of unit does not pass. The method whose
    cap changes at two leaves has two ids, `ndawn-small-grain-early` and `-late`, because a day by itself does not know
    the leaf; `small_grain_degree_days` joins them for a run of days.

    ValueError: unknown method; low above high (the first such day is named); an infinite reading; shapes that do not
    fit; thresholds that are not finite, in the wrong order, not those of the method, missing, or not taken by it;
    no `t_min_next` where it is needed.

    Low 40, high 60 F, base 41: the mean less the base is 9, but with the low first raised to 41 it is 9.5.

    >>> degree_days(40, 60, method="simple-avg-method1", lower=41)
    9.0
    >>> degree_days(40, 60, method="simple-avg-method2", lower=41)
    9.5
    >>> degree_days([63, 46], [87, 63], method="modified-86-50", lower=50, upper=86)
    array([24.5,  6.5])
    """
    rule = _find(method)
    limits = _thresholds(rule, lower, upper)
    if rule.needs_next_low and t_min_next is None:
        raise ValueError(f"{rule.id} needs t_min_next, the low of the following day")
    low, high, following = as_arrays(
        t_min=t_min, t_max=t_max, t_min_next=t_min_next if rule.needs_next_low and t_min_next is not None else t_min
    )
    check_pairs(low, high)
    day = Day(low, high, following, limits.lower, limits.upper, limits.low_cap)
    missing = np.isnan(low) | np.isnan(high) | np.isnan(following)
    return plain(np.where(missing, np.nan, rule.rule(day)))


def small_grain_degree_days(
    t_min: ArrayLike, t_max: ArrayLike, *, switch_total: float, lower: float = 32.0
) -> NDArray[np.float64]:
    """Daily degree-days of wheat or barley whose cap rises once the crop has two leaves.

    Days run along the last axis, from the first counted day on (the day after planting); other axes are years or
    plantings. A day has the cap of 70 F while the total at the end of the day before is under `switch_total` (395 for
    wheat, 384 for barley), of 95 F from then on. With readings in C, give lower=0 and the switch in C (x 5/9). Same
    shape out, in the unit of the readings. A missing day leaves the leaf unknown: NaN for it and all that follow.

    North Dakota Agricultural Weather Network, after Bauer, Fanning, Enz & Eberlein 1984. That the total of the day
    before decides, and that the low is capped too, is our choice where the network is silent.

    ValueError: as in `degree_days`; single numbers; a switch that is not above 0.

    Each day of 50/80 F counts (50 + 70)/2 - 32 = 28 with the low cap, 33 with the high one:

    >>> small_grain_degree_days([50, 50, 50], [80, 80, 80], switch_total=40)
    array([28., 28., 33.])
    """
    if not switch_total > 0:
        raise ValueError(f"switch_total must be above 0, got {switch_total:g}")
    low, high = as_arrays(t_min=t_min, t_max=t_max)
    if low.ndim == 0:
        raise ValueError("small_grain_degree_days needs a run of days, not a single day")
    early = np.asarray(degree_days(low, high, method="ndawn-small-grain-early", lower=lower))
    late = np.asarray(degree_days(low, high, method="ndawn-small-grain-late", lower=lower))
    before = np.concatenate([np.zeros_like(early[..., :1]), np.cumsum(early, axis=-1)[..., :-1]], axis=-1)
    return np.where(np.isnan(before), np.nan, np.where(before < switch_total, early, late))


def check_thresholds(method: str, unit: str, lower: float, upper: float | None) -> None:
    """ValueError if the method cannot count with these thresholds, read in this unit, "F" or "C"; see `degree_days`.

    >>> check_thresholds("dd60", "F", 50, None)
    Traceback (most recent call last):
    ValueError: dd60 is made for lower 60, upper 93 F or lower 15.56, upper 33.89 C; got lower 50 F
    """
    rule = _find(method)
    if _thresholds(rule, lower, upper, unit).unit not in ("", unit):
        raise ValueError(_unfit(rule, lower, upper, unit))


def _find(method: str) -> Method:
    """The method of that id; ValueError with the known ids."""
    name = method.replace("_", "-")
    if name in BY_STATE:
        raise ValueError(f"{name} cannot be told from one day: {BY_STATE[name]}")
    if name not in METHODS:
        raise ValueError(f"unknown method {method!r}; known are: {', '.join(sorted(METHODS))}")
    return METHODS[name]


def _thresholds(method: Method, lower: float, upper: float | None, unit: str = "") -> Limits:
    """The thresholds to count with, as given; ValueError if the method cannot work with them."""
    if not np.isfinite(lower) or (upper is not None and not np.isfinite(upper)):
        raise ValueError(f"thresholds must be finite numbers, got lower {lower} and upper {upper}")
    if upper is not None and lower >= upper:
        raise ValueError(f"lower {lower:g} must be below upper {upper:g}")
    if upper is not None and method.upper == "none":
        raise ValueError(f"{method.id} takes no upper threshold, got {upper:g}")
    if upper is None and method.upper == "needed":
        raise ValueError(f"{method.id} needs upper, the threshold above which nothing more is gained")
    if not method.limits:
        return Limits("", lower, np.inf if upper is None else upper)
    for printed in method.limits:
        if abs(printed.lower - lower) <= NEAR and (upper is None or abs(printed.upper - upper) <= NEAR):
            built_in = printed.upper if method.upper == "built-in" else np.inf
            return Limits(printed.unit, lower, built_in if upper is None else upper, printed.low_cap)
    raise ValueError(_unfit(method, lower, upper, unit))


def _unfit(method: Method, lower: float, upper: float | None, unit: str) -> str:
    got = f"lower {lower:g}" + ("" if upper is None else f", upper {upper:g}")
    return f"{method.id} is made for {_tell(method)}; got {got} {unit}".rstrip()


def _tell(method: Method) -> str:
    """'lower 50, upper 86 F or lower 10, upper 30 C'."""
    return " or ".join(
        f"lower {x.lower:.4g}" + (f", upper {x.upper:.4g}" if np.isfinite(x.upper) else "") + f" {x.unit}"
        for x in method.limits
    )
