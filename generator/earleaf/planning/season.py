"""What a forecast says of one planting: when each stage and each sampling window comes, and how sure that is."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

Reach = Literal["yes", "partly", "no"]


@dataclass(frozen=True)
class Spread:
    """The dates of one event over all years and sources. No p50: a window, never a date.

    A bound is None where the event does not come before the season ends in so many of the years.
    """

    p10: date | None
    p50: date | None
    p90: date | None
    not_reached: int
    years: int


@dataclass(frozen=True)
class StageDates:
    """One growth stage."""

    code: str
    name: str
    spread: Spread


@dataclass(frozen=True)
class WindowDates:
    """One sampling window. `reach` tells whether the model can say both ends, one, or none.

    With `open_end` no source dates the stage after the last one: `closes` is then the day on which the last stage of
    the window begins, and the window stays open for some time.
    """

    protocol: str
    title: str
    part: str
    opens: Spread | None
    closes: Spread | None
    reach: Reach
    open_end: bool = False


@dataclass(frozen=True)
class PlantingDates:
    """Everything about one planting, or one season of a crop that is not planted each year."""

    crop: str
    model: str
    kind: str
    start: date
    start_event: str
    stages: tuple[StageDates, ...]
    windows: tuple[WindowDates, ...]
    note: str = ""
