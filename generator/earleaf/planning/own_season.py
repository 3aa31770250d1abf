"""The season of a team's own plantings: the dates of each, moved by what was seen in it, and the visits for its lab."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date

from ..database.load import Database
from ..database.manual import ManualDatabase
from ..database.planting_list import OwnPlanting
from ..database.plantings import events
from ..database.timing import codes_of
from ..database.weather import season_so_far
from ..model.crop import Crop
from ..model.development import Development
from ..model.lab import Lab
from ..model.planting import Sighting
from ..model.region import PLANTING
from .calendars import CropSeason, season_weather
from .forecast import SeasonWeather, forecast
from .lab_days import LabPlan, visit_rules
from .localise import localise
from .own_model import seen_from, with_maturity, with_planting_day
from .season import PlantingDates, Spread, StageDates, WindowDates
from .visits import visit_days


@dataclass(frozen=True)
class OwnWindow:
    """One sampling window for the lab of the planting: good days from `today` on, and of the whole window."""

    dates: WindowDates
    now: LabPlan
    whole: LabPlan
    over: bool


@dataclass(frozen=True)
class OwnSeason:
    """One planting of the team.

    `dates` is None where there is no published timing or no weather. `counts_from` is the sighting that the dates count
    on from; `idle` one that is newer and that no published count goes on from. `unmoved` are the protocols of which a
    date does not hang on what was seen. `waits_for` are events whose day would give dates that are not there yet.
    `windows` leave out what lies before the newest stage that was seen; the first to open comes first. `weather` is the
    season of its region without plantings: which years it rests on.
    """

    own: OwnPlanting
    lab: Lab
    dates: PlantingDates | None
    counts_from: Sighting | None
    idle: Sighting | None
    unmoved: frozenset[str]
    waits_for: tuple[str, ...]
    windows: tuple[OwnWindow, ...]
    weather: CropSeason | None

    @property
    def next(self) -> OwnWindow | None:
        """The first window that is not over and has dates."""
        return next((w for w in self.windows if not w.over and first_day(w.dates)), None)


def own_seasons(db: ManualDatabase, plantings: Iterable[OwnPlanting], today: date) -> tuple[OwnSeason, ...]:
    """Every planting of the team in the order given."""
    weather = {
        name: season_weather(db.weather[name], region) for name, region in db.regions.items() if name in db.weather
    }
    return tuple(_own_season(db, own, weather.get(own.region.region), today) for own in plantings)


def _own_season(db: ManualDatabase, own: OwnPlanting, weather: SeasonWeather | None, today: date) -> OwnSeason:
    lab = db.labs[own.planting.lab]
    blank = OwnSeason(own, lab, None, None, None, frozenset(), (), (), None)
    if own.model is None or weather is None:
        return blank
    station = db.weather[own.region.region]
    span = season_so_far(station, own.region)
    basis = CropSeason(
        own.region, own.model, weather.possible.years, station.invented, span[1] if span else None, plantings=()
    )
    dated = _with_dates(db, replace(blank, weather=basis), own.model, weather)
    assert dated.dates is not None
    protocols = {p.protocol: p for p in own.crop.protocols}
    windows = []
    for window in dated.dates.windows:
        rules = visit_rules(db, own.crop, protocols[window.protocol], lab, own.region)
        whole, now = (LabPlan(lab, r, visit_days(window, lab, r), None) for r in (rules, replace(rules, today=today)))
        windows.append(OwnWindow(window, now, whole, _over(window, today)))
    windows.sort(key=lambda w: first_day(w.dates) or date.max)
    return replace(dated, windows=tuple(windows))


def _with_dates(db: Database, season: OwnSeason, model: Development, weather: SeasonWeather) -> OwnSeason:
    """The dates from planting, or from the newest cut; then those that count on from the newest stage seen."""
    own = season.own
    crop, codes = _for_lab(db, own.crop, season.lab), codes_of(db, own.crop)
    model = with_maturity(db, crop, model, own.maturity)
    planted = own.planting.planted
    day = planted if planted is not None and own.region.holds(planted) else None
    cut = next((s for s in reversed(own.sightings) if s.stage not in codes), None)
    seen = next((s for s in reversed(own.sightings) if s.stage in codes and (cut is None or s.day >= cut.day)), None)
    if cut is not None:
        base = forecast(db, crop, model, weather, [cut.day], cut.stage)[0]
    else:
        base = forecast(db, crop, model, weather, [] if day is None else [day])[0]
    starts = [event for event in events(db, crop, model) if event != PLANTING and not (base.stages and event in codes)]
    if cut is not None and cut.stage in starts:
        starts = starts[starts.index(cut.stage) + 1 :]
    season = replace(season, waits_for=tuple(starts))
    if seen is None:
        return replace(season, dates=base, counts_from=cut)
    if day is not None and not weather.southern:
        model = with_planting_day(db, crop, model, day)
    found = seen_from(db, crop, model, seen.stage, cut.stage if cut else None)
    on = forecast(db, crop, found, weather, [seen.day], seen.stage)[0] if found is not None else None
    merged, unmoved = _moved(crop, codes, base, on, seen, len(weather.possible.years))
    return replace(
        season,
        dates=merged,
        counts_from=seen if on else cut,
        idle=None if on else seen,
        unmoved=unmoved if on else frozenset(),
        waits_for=tuple(event for event in starts if event not in codes),
    )


def _for_lab(db: Database, crop: Crop, lab: Lab) -> Crop:
    """The crop with the windows and the parts of one lab."""
    protocols = []
    for protocol in crop.protocols:
        local = localise(db, crop, protocol, lab)
        first = protocol.take[0].model_copy(update={"part": local.specimens[0].part})
        protocols.append(protocol.model_copy(update={"window": local.window, "take": (first, *protocol.take[1:])}))
    return crop.model_copy(update={"protocols": tuple(protocols)})


def _moved(
    crop: Crop, codes: tuple[str, ...], base: PlantingDates, on: PlantingDates | None, seen: Sighting, years: int
) -> tuple[PlantingDates, frozenset[str]]:
    """Dates after a stage was seen: what counts on from it, else what stood there before, and never before that day.

    Stages before it and windows that ended before it are left out. A window that holds it is open from that day on.
    Also the protocols of which a date stayed as it was.
    """
    place = codes.index(seen.stage)
    there = Spread(seen.day, seen.day, seen.day, 0, years)
    stages = {s.code: replace(s, spread=_not_before(s.spread, seen.day)) for s in base.stages}
    stages |= {s.code: s for s in on.stages} if on else {}
    if seen.stage in stages:
        stages[seen.stage] = replace(stages[seen.stage], spread=there)
    unmoved = set()
    windows = []
    for i, (old, protocol) in enumerate(zip(base.windows, crop.protocols, strict=True)):
        first, last = codes.index(protocol.window.first), codes.index(protocol.window.last)
        if last < place:
            continue
        new = on.windows[i] if on else replace(old, opens=None, closes=None)
        opens = there if first <= place else new.opens
        if opens is None and old.opens is not None:
            opens = _not_before(old.opens, seen.day)
            unmoved.add(old.protocol)
        closes, open_end = new.closes, new.open_end
        if old.closes is not None and (closes is None or (open_end and not old.open_end)):
            closes, open_end = _not_before(old.closes, seen.day), old.open_end
            unmoved.add(old.protocol)
        windows.append(replace(old, opens=opens, closes=closes, open_end=open_end))
    kept = tuple(stages[code] for code in codes[place:] if code in stages)
    return replace(base, stages=kept, windows=tuple(windows)), frozenset(unmoved)


def _not_before(spread: Spread, day: date) -> Spread:
    """A spread that does not begin before a day: a later stage comes later than the one that was seen."""
    p10, p50, p90 = (max(d, day) if d else None for d in (spread.p10, spread.p50, spread.p90))
    return replace(spread, p10=p10, p50=p50, p90=p90)


def first_day(window: WindowDates) -> date | None:
    """The middle day on which a window opens, or the first one of a bracket; None where there is no date."""
    return (window.opens.p50 or window.opens.p10) if window.opens else None


def _over(window: WindowDates, today: date) -> bool:
    """Whether a window is over in nearly all years. One whose end has no date is never over: somebody has to look."""
    return window.closes is not None and window.closes.p90 is not None and window.closes.p90 < today


def stages_now(dates: PlantingDates, today: date) -> tuple[StageDates | None, StageDates | None]:
    """The stages between which a planting is today, eight years out of ten; None before the first one."""
    sure = [s for s in dates.stages if s.spread.p90 is not None and s.spread.p90 <= today]
    perhaps = [s for s in dates.stages if s.spread.p10 is not None and s.spread.p10 <= today]
    return (sure[-1] if sure else None), (perhaps[-1] if perhaps else None)
