"""From a crop's timing model and the weather of many years to the dates of its stages and sampling windows."""

from __future__ import annotations

from calendar import isleap
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from ..agronomy.degree_days import degree_days, small_grain_degree_days
from ..agronomy.development import NOT_REACHED, NOT_STATED, adjusted, calendar_days, late_planting, stage_days
from ..agronomy.ensemble import PossibleSeasons, StageDays, combine
from ..agronomy.seasons import columns_of, dates_of, is_southern, last_cold_day, warmest_day
from ..database.load import Database
from ..database.timing import codes_of, crop_points, reached, start_kind
from ..model.crop import Crop, Protocol, Window
from ..model.development import Development, Leg, Point
from ..model.region import PLANTING
from ..model.stages import Stage
from .season import PlantingDates, Spread, StageDates, WindowDates

Days = NDArray[np.int16]
Floats = NDArray[np.float64]

SEASON = "season"
"""The start of a row that hangs on no event."""

SPRING_DAYS = 91
"""A season that starts fewer days than this before its warmest day has its spring at the other end."""


@dataclass(frozen=True)
class SeasonWeather:
    """The season to come at one station: all its possible runs, in one unit. `start` is its first month and day."""

    possible: PossibleSeasons
    unit: str
    start: tuple[int, int]

    def in_unit(self, unit: str) -> tuple[Floats, Floats]:
        """Lows and highs (years, days) in F or C."""
        lows, highs = self.possible.t_min, self.possible.t_max
        if unit == self.unit:
            return lows, highs
        if unit == "F":
            return lows * 9 / 5 + 32, highs * 9 / 5 + 32
        return (lows - 32) * 5 / 9, (highs - 32) * 5 / 9

    def column(self, day: date) -> int:
        return int(columns_of(np.array([day], dtype="datetime64[D]"), self.possible.year, self.start)[0])

    def day(self, column: int) -> date | None:
        if column < 0:
            return None
        found: date = dates_of([column], self.possible.year, self.start)[0].astype(object)
        return found

    def yearly(self, month_day: str) -> date | None:
        """The day of this season that falls on a month and day, "01-01"; None where it has no such day."""
        month, day = map(int, month_day.split("-"))
        first, year = date(self.possible.year, *self.start), self.possible.year
        years = [n for n in (year, year + 1) if (month, day) != (2, 29) or isleap(n)]
        found = (date(n, month, day) for n in years)
        return next((day for day in found if first <= day < date(year + 1, *self.start)), None)

    @cached_property
    def warmest(self) -> int | None:
        """The day of the year on which the station is warmest; None where it has no summer and winter."""
        dates = dates_of(np.arange(self.possible.t_min.shape[1]), self.possible.year, self.start)
        days = (dates - dates.astype("datetime64[Y]")).astype(int) + 1
        return warmest_day(days, (self.possible.t_min + self.possible.t_max).mean(axis=0) / 2)

    @property
    def southern(self) -> bool:
        """Whether the station lies in the south, where a clock that starts on 1 January starts in summer."""
        return is_southern(self.warmest)

    @property
    def end_of_spring(self) -> int:
        """The column before which the last spring frost comes: midsummer, or the end of a season that began with it."""
        length = int(self.possible.t_min.shape[1])
        if self.warmest is None:
            return length
        first = date(self.possible.year, *self.start).timetuple().tm_yday
        until = (self.warmest - first) % length
        return until if until >= SPRING_DAYS else length


@dataclass
class _Known:
    """What the legs worked out so far have said of each stage, for all plantings: (plantings, years, 3)."""

    cases: dict[str, Days]
    results: dict[str, tuple[StageDays, int, Point]]


def forecast(
    db: Database,
    crop: Crop,
    model: Development,
    weather: SeasonWeather,
    days: Sequence[date] = (),
    event: str = PLANTING,
) -> tuple[PlantingDates, ...]:
    """The dates that follow each day of an event, in order: plantings, or first cuts, or the day a stage was seen.

    Without days, or where no clock starts at planting, one entry for the season: its clocks start on a day of the year
    or after the last frost. A stage that no clock reaches is left out. A clock of a day of the year serves a planting
    only if that day comes after it in this season: wheat sown in autumn goes on from New Year, wheat sown after New
    Year waits for the next season. ValueError for a day outside the season.
    """
    known = _Known({}, {})
    dated = bool(days) and (event != PLANTING or any(leg.start == PLANTING for leg in model.legs))
    starts = list(days) if dated else [weather.day(0) or date(weather.possible.year, 1, 1)]
    for leg in model.legs:
        begin = _begin(db, crop, leg, weather, starts, known, event if dated else "")
        if begin is not None:
            _run(db, crop, model, leg, weather, starts, begin, known)
    stages = {stage.code: stage for stage in db.stages[crop.stage_system]}
    return tuple(
        PlantingDates(
            crop=crop.crop,
            model=model.model,
            kind=model.kind or "",
            start=start,
            start_event=event if dated else SEASON,
            stages=tuple(
                StageDates(code, stages[code].name, _spread(weather, *known.results[code][:2], i))
                for code in codes_of(db, crop)
                if code in known.results
            ),
            windows=tuple(_window(db, crop, model, protocol, weather, known, i) for protocol in crop.protocols),
        )
        for i, start in enumerate(starts)
    )


def _run(
    db: Database,
    crop: Crop,
    model: Development,
    leg: Leg,
    weather: SeasonWeather,
    starts: Sequence[date],
    begin: NDArray[np.integer],
    known: _Known,
) -> None:
    """Work out one leg and keep what it says of stages that no earlier leg has dated."""
    points = [p for p in crop_points(db, crop, leg) if p.stage]
    if not points:
        return
    need = np.array([[p.low, np.nan if p.typical is None else p.typical, p.high] for p in points])
    need = _late(model, need, points, starts, south=weather.southern)
    counted_from = 1 if leg.first_day == "after" else 0
    if leg.early_until is not None:
        days = np.concatenate(
            [
                stage_days(_capped(leg, weather, begin, i), begin[[i]], need[[i]], counted_from=counted_from)
                for i in range(len(starts))
            ]
        )
    else:
        days = stage_days(_daily(leg, weather), begin, need, counted_from=counted_from)
    combined = combine(days)
    for n, point in enumerate(points):
        for code in _codes(codes_of(db, crop), point):
            if code not in known.results or _weaker(known.results[code][2], point):
                known.results[code] = (combined, n, point)
                known.cases[code] = days[:, :, n]


def _weaker(old: Point, new: Point) -> bool:
    """A bracket or a weak figure gives way to a point with a date of its own."""
    return (old.typical is None or old.basis == "weak") and new.typical is not None and new.basis != "weak"


def _codes(codes: Sequence[str], point: Point) -> Iterable[str]:
    """The stages that a point stands for."""
    if point.stage not in codes:
        return ()
    first = codes.index(point.stage)
    last = codes.index(point.stage_to) if point.stage_to in codes else first
    return codes[first : last + 1]


def _begin(
    db: Database, crop: Crop, leg: Leg, weather: SeasonWeather, starts: Sequence[date], known: _Known, event: str
) -> NDArray[np.integer] | None:
    """Where the leg starts: columns (starts,), (starts, years) or (starts, years, 3); None if nobody knows.

    `event` is what the starts are days of, "" for a season of its own. After another event than planting, only clocks
    that it starts, or that go on from them, are asked. Sources that count from a day of the year are all from the
    north: in the south nobody knows.
    """
    kind = start_kind(leg, codes_of(db, crop))
    if leg.start == event:
        return np.array([weather.column(start) for start in starts])
    if kind == "stage":
        return known.cases.get(leg.start)
    if event not in ("", PLANTING):
        return None
    if kind == "day":
        day = weather.yearly(leg.start)
        if day is None or weather.southern:
            return None
        return np.array([weather.column(day) if not event or day > start else NOT_REACHED for start in starts])
    if leg.start == "last-hard-frost" and leg.frost is not None:
        lows, _ = weather.in_unit(leg.unit)
        frost = last_cold_day(lows, leg.frost, weather.end_of_spring)
        return np.broadcast_to(frost, (len(starts), len(frost)))
    return None


def _daily(leg: Leg, weather: SeasonWeather) -> Floats:
    """What each day of each year counts in this leg, shape (years, days)."""
    if leg.method == "days" or leg.unit == "days":
        return calendar_days(*weather.possible.t_min.shape)
    lows, highs = weather.in_unit(leg.unit)
    assert leg.lower is not None
    return np.asarray(degree_days(lows, highs, method=leg.method, lower=leg.lower, upper=leg.upper))


def _capped(leg: Leg, weather: SeasonWeather, begin: NDArray[np.integer], i: int) -> Floats:
    """The same where the cap changes once a planting has collected enough: nothing counts before its start."""
    lows, highs = weather.in_unit(leg.unit)
    assert leg.early_until is not None and leg.lower is not None
    first = np.broadcast_to(begin[i], lows.shape[:1]) if begin.ndim == 1 else begin[i]
    waiting = np.arange(lows.shape[1])[None, :] <= np.asarray(first).reshape(-1, 1)
    lows = np.where(waiting, leg.lower, lows)
    highs = np.where(waiting, leg.lower, highs)
    return np.asarray(small_grain_degree_days(lows, highs, switch_total=leg.early_until, lower=leg.lower))


def _late(model: Development, need: Floats, points: Sequence[Point], starts: Sequence[date], *, south: bool) -> Floats:
    """Requirements (plantings, stages, 3), less for a late planting at the one stage the rule speaks of.

    The rule counts from a day in the year of the planting. It comes from the north, and is left out in the south.
    """
    every = np.broadcast_to(need, (len(starts), *need.shape)).copy()
    if model.late is None or south or all(p.stage != model.late.stage for p in points):
        return every
    month, day = map(int, model.late.after.split("-"))
    days = [(start - date(start.year, month, day)).days for start in starts]
    per_day = [model.late.per_day if p.stage == model.late.stage else 0.0 for p in points]
    return adjusted(every, shift=late_planting(days, per_day))


def _spread(weather: SeasonWeather, combined: StageDays, n: int, planting: int) -> Spread:
    def at(days: Days) -> date | None:
        column = int(days[planting, n])
        return None if column in (NOT_REACHED, NOT_STATED) else weather.day(column)

    missing = int(combined.years_not_reached[planting, n].max())
    return Spread(at(combined.p10), at(combined.p50), at(combined.p90), missing, combined.years)


def _window(
    db: Database, crop: Crop, model: Development, protocol: Protocol, weather: SeasonWeather, known: _Known, i: int
) -> WindowDates:
    """One sampling window: it opens with its first stage, and closes the day before the stage after its last."""
    opens, closes = _ends(db.stages[crop.stage_system], protocol.window)
    closing = _before(_spread_of(weather, known, closes, i))
    return WindowDates(
        protocol=protocol.protocol,
        title=protocol.title,
        part=protocol.take[0].part or "",
        opens=_spread_of(weather, known, opens, i),
        closes=closing or _spread_of(weather, known, protocol.window.last, i),
        reach=reached(db, crop, model, protocol.window),
        open_end=closing is None,
    )


def _ends(stages: Sequence[Stage], window: Window) -> tuple[str, str | None]:
    codes = [stage.code for stage in stages]
    after = codes.index(window.last) + 1
    return window.first, codes[after] if after < len(codes) else None


def _spread_of(weather: SeasonWeather, known: _Known, code: str | None, i: int) -> Spread | None:
    if code is None or code not in known.results:
        return None
    combined, n, _ = known.results[code]
    return _spread(weather, combined, n, i)


def _before(spread: Spread | None) -> Spread | None:
    """The day before each date of a spread."""
    if spread is None:
        return None
    p10, p50, p90 = (d - timedelta(days=1) if d else None for d in (spread.p10, spread.p50, spread.p90))
    return Spread(p10, p50, p90, spread.not_reached, spread.years)
