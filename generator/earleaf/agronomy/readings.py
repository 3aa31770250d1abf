"""Daily temperature readings: arrays of one shape, checked, whatever shape they came in."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


def as_arrays(**values: ArrayLike) -> tuple[Array, ...]:
    """The named values as float arrays of one common shape; ValueError names those that do not fit together."""
    arrays = {name: np.asarray(value, dtype=np.float64) for name, value in values.items()}
    try:
        return tuple(np.broadcast_arrays(*arrays.values()))
    except ValueError:
        shapes = ", ".join(f"{name} {array.shape}" for name, array in arrays.items())
        raise ValueError(f"these do not fit together: {shapes}") from None


def check_pairs(low: Array, high: Array) -> None:
    """ValueError naming the first day whose low is above its high, or a reading that is infinite; NaN may pass."""
    if (at := _first(np.isinf(low) | np.isinf(high))) is not None:
        raise ValueError(f"a reading is infinite{_place(at)}: low {low[at]:g}, high {high[at]:g}")
    if (at := _first(low > high)) is not None:
        raise ValueError(f"low {low[at]:g} is above high {high[at]:g}{_place(at)}: are the two columns swapped?")


def plain(result: Array) -> float | Array:
    """A Python float where the result has no axes; the array itself otherwise."""
    return float(result) if result.ndim == 0 else result


def next_lows(t_min: ArrayLike) -> Array:
    """The low of the following day for each day, for the double methods of `degree_days`.

    Days run along the last axis. The last day has no morrow, so it keeps its own low. Any shape with one axis or
    more in, the same shape out; ValueError for a single number. Example: ``next_lows([7, 4, 3])`` is ``[4, 3, 3]``.
    """
    low = np.asarray(t_min, dtype=np.float64)
    if low.ndim == 0:
        raise ValueError("next_lows needs a run of days, not a single low")
    return np.concatenate([low[..., 1:], low[..., -1:]], axis=-1)


def _first(bad: NDArray[np.bool_]) -> tuple[int, ...] | None:
    """The index of the first True in reading order."""
    return tuple(int(i) for i in np.argwhere(bad)[0]) if bad.any() else None


def _place(at: tuple[int, ...]) -> str:
    """' at index 3' or ' at index (0, 3)'; nothing for a single day."""
    if not at:
        return ""
    return f" at index {at[0]}" if len(at) == 1 else f" at index {at}"
