"""Calendars and lab plans of the demo's own regions, without a site: what is asked for, and what must stay out."""

from __future__ import annotations

from dataclasses import replace

import pytest

from earleaf.database.manual import ManualDatabase
from earleaf.planning.calendars import crop_seasons, season_weather
from earleaf.planning.lab_days import lab_plans
from earleaf.planning.working_days import weekday
from earleaf.site.build import Prepared


@pytest.fixture(scope="module")
def db(demo: Prepared) -> ManualDatabase:
    return demo.db


def test_each_region_gives_the_crops_that_it_plants_and_no_others(db: ManualDatabase) -> None:
    planted = {key.partition("/")[0] for region in db.regions.values() for key in region.plantings}
    assert planted and planted < set(db.crops)
    for name, crop in db.crops.items():
        seasons = crop_seasons(db, crop)
        assert bool(seasons) <= (name in planted), name
        for season in seasons:
            keys = {key for key in season.region.plantings if key.partition("/")[0] == name}
            assert keys and season.model in crop.development
            assert season.region.season not in season.past_years and len(season.past_years) >= 10


def test_every_date_follows_the_day_it_is_counted_from(db: ManualDatabase) -> None:
    """What counts from planting has the days of the manual, and middle dates that never run backwards."""
    seen = 0
    for crop in db.crops.values():
        for season in crop_seasons(db, crop):
            asked = {
                day
                for key, given in season.region.plantings.items()
                if key.partition("/")[0] == crop.crop
                for text in given.get("planting", ())
                if (day := season.region.day(text))
            }
            for planting in season.plantings:
                assert planting.stages
                if planting.start_event == "planting":
                    assert planting.start in asked
                for stage in planting.stages:
                    spread = stage.spread
                    dates = [day for day in (spread.p10, spread.p50, spread.p90) if day is not None]
                    assert dates == sorted(dates)
                    seen += len(dates) == 3
    assert seen > 50


def test_a_region_whose_weather_is_lost_has_no_calendar(db: ManualDatabase) -> None:
    crop = next(crop for crop in db.crops.values() if crop_seasons(db, crop))
    assert crop_seasons(replace(db, weather={}), crop) == ()


def test_without_a_past_season_nothing_is_foretold(db: ManualDatabase) -> None:
    """The first season of the file has none before it."""
    name, region = next(iter(db.regions.items()))
    first = region.model_copy(update={"season": 1900, "as_of": None})
    assert season_weather(db.weather[name], first) is None
    assert season_weather(db.weather[name], region) is not None


def test_every_planting_has_a_plan_for_each_protocol_and_lab(db: ManualDatabase) -> None:
    """The day to propose is one on which the lab's parcel can go, inside the window's middle dates."""
    good = 0
    for name in {key.partition("/")[0] for region in db.regions.values() for key in region.plantings}:
        crop = db.crops[name]
        for season in crop_seasons(db, crop):
            plans = lab_plans(db, crop, season)
            assert len(plans) == len(season.plantings)
            for planting, of_planting in zip(season.plantings, plans, strict=True):
                for window in planting.windows:
                    mine = of_planting[window.protocol]
                    assert [one.lab.lab for one in mine] == list(db.labs)
                    for best in filter(None, (one.best for one in mine)):
                        assert window.opens and window.closes and window.opens.p50 and window.closes.p50
                        assert window.opens.p50 <= best.day <= window.closes.p50
                        assert weekday(best.mailed) in season.region.mailing_days
                        assert best.mailed >= best.day and best.mailed not in season.region.holidays
                        good += 1
    assert good > 20
