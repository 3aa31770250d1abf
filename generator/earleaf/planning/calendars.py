"""The seasons of a crop in the regions of a manual: which model, which weather, and the dates of every planting."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from ..agronomy.ensemble import possible_seasons
from ..database.manual import ManualDatabase
from ..database.plantings import planted
from ..database.weather import Weather, observed, past_seasons, season_so_far
from ..model.crop import Crop
from ..model.development import Development
from ..model.region import PLANTING, Region
from .forecast import SeasonWeather, forecast
from .season import PlantingDates


@dataclass(frozen=True)
class CropSeason:
    """One model of one crop in one region. `observed_until` is the last day whose weather is known, None for none."""

    region: Region
    model: Development
    past_years: tuple[int, ...]
    invented: bool
    observed_until: date | None
    plantings: tuple[PlantingDates, ...]


def season_weather(weather: Weather, region: Region) -> SeasonWeather | None:
    """All that the season of a region may become; None without one whole past season."""
    past = past_seasons(weather, region.season, region.start)
    if not past.years:
        return None
    span = season_so_far(weather, region)
    lows, highs = observed(weather, *span) if span else ((), ())
    return SeasonWeather(possible_seasons(past, region.season, lows, highs), weather.unit, region.start)


def crop_seasons(db: ManualDatabase, crop: Crop) -> tuple[CropSeason, ...]:
    """Every model of a crop that a region of the manual plants, region by region."""
    out: list[CropSeason] = []
    for region in db.regions.values():
        weather = db.weather.get(region.region)
        wanted = [
            (m, given)
            for key, given in region.plantings.items()
            if key.partition("/")[0] == crop.crop and (m := planted(db, key)[1])
        ]
        season = season_weather(weather, region) if weather and wanted else None
        if weather is None or season is None:
            continue
        span = season_so_far(weather, region)
        for model, given in wanted:
            found = _found(db, crop, model, season, region, given)
            until = span[1] if span else None
            out.append(CropSeason(region, model, season.possible.years, weather.invented, until, found))
    return tuple(out)


def _found(
    db: ManualDatabase,
    crop: Crop,
    model: Development,
    season: SeasonWeather,
    region: Region,
    given: Mapping[str, Sequence[str]],
) -> tuple[PlantingDates, ...]:
    """What the season gives by itself, unless all hangs on planting; then what follows each event of the region."""
    out = () if PLANTING in given else forecast(db, crop, model, season)
    for event, texts in given.items():
        days = sorted(day for text in texts if (day := region.day(text)))
        out += forecast(db, crop, model, season, days, event)
    return tuple(found for found in out if found.stages)
