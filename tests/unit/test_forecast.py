"""Stage dates of a planting, in weather so even that they can be worked out by hand."""

from __future__ import annotations

from datetime import date, timedelta
from math import ceil

import numpy as np
import pytest

from earleaf.agronomy.ensemble import PossibleSeasons
from earleaf.agronomy.seasons import NORTH
from earleaf.database.load import Database
from earleaf.planning.forecast import SeasonWeather, forecast
from earleaf.planning.season import PlantingDates, Spread

YEARS = 9
PLANTED = date(2027, 5, 1)


def even(low: float, high: float, unit: str = "F", days: int = 365) -> SeasonWeather:
    """Nine seasons that are all alike."""
    shape = (YEARS, days)
    return SeasonWeather(
        PossibleSeasons(2027, tuple(range(2010, 2010 + YEARS)), np.full(shape, low), np.full(shape, high)), unit, NORTH
    )


def of(db: Database, crop: str, weather: SeasonWeather, plantings: list[date], model: int = 0) -> PlantingDates:
    return forecast(db, db.crops[crop], db.crops[crop].development[model], weather, plantings)[0]


def spread(found: PlantingDates, code: str) -> Spread:
    return next(s.spread for s in found.stages if s.code == code)


def test_corn_leaves_by_hand(database: Database) -> None:
    """59 and 77 F give 18 degree-days (86/50). Purdue: 115 to coming up, then 82 a leaf to V10. V6 is 115 + 6 x 82."""
    found = of(database, "corn", even(59, 77), [PLANTED])
    assert spread(found, "VE").p50 == PLANTED + timedelta(days=ceil(115 / 18))
    assert spread(found, "V6").p50 == PLANTED + timedelta(days=ceil((115 + 6 * 82) / 18))
    assert spread(found, "V6").p10 == PLANTED + timedelta(days=ceil((100 + 6 * 82) / 18))
    assert spread(found, "V6").p90 == PLANTED + timedelta(days=ceil((120 + 6 * 84) / 18))


def test_a_window_ends_the_day_before_the_next_stage(database: Database) -> None:
    found = of(database, "corn", even(59, 77), [PLANTED])
    young = next(w for w in found.windows if w.protocol == "young-plants")
    assert young.opens == spread(found, "VE") and young.closes and not young.open_end
    assert young.closes.p50 == (spread(found, "V6").p50 or PLANTED) - timedelta(days=1)


def test_celsius_and_fahrenheit_give_the_same_days(database: Database) -> None:
    assert of(database, "corn", even(15, 25, "C"), [PLANTED]) == of(database, "corn", even(59, 77), [PLANTED])


def test_later_planting_needs_less_to_black_layer_only(database: Database) -> None:
    """Nielsen and others 2002: 6.8 degree-days less for each day after 1 May. 30 days late are 204 less of 2700."""
    late = of(database, "corn", even(68, 86), [PLANTED + timedelta(days=30)])
    a_day = 27
    assert spread(late, "R6").p50 == PLANTED + timedelta(days=30 + ceil((2700 - 204) / a_day))
    assert spread(late, "V6").p50 == PLANTED + timedelta(days=30 + ceil(607 / a_day))


def test_soybean_goes_by_days_whatever_the_weather(database: Database) -> None:
    cool, hot = (of(database, "soybean", even(low, low + 20), [PLANTED]) for low in (40, 70))
    assert cool.stages == hot.stages and spread(cool, "R1").p50


def test_winter_wheat_starts_with_the_year_and_needs_no_planting(database: Database) -> None:
    found = of(database, "wheat", even(40, 60), [PLANTED])
    assert found.start == date(2027, 1, 1) and found.start_event == "season"
    assert found == of(database, "wheat", even(40, 60), [])


def test_a_cold_place_says_not_reached(database: Database) -> None:
    found = of(database, "corn", even(30, 49), [PLANTED])
    assert spread(found, "V6") == Spread(None, None, None, YEARS, YEARS)


def test_a_bracket_has_no_middle(database: Database) -> None:
    """A stage that lies between two printed figures is a window, never a date."""
    found = of(database, "sugar-beet", even(50, 75), [PLANTED])
    closes = [w.closes for w in found.windows if w.closes and w.closes.p50 is None]
    assert closes and all(c.p10 and c.p90 and c.p10 < c.p90 for c in closes)


def test_a_planting_outside_the_season_is_refused(database: Database) -> None:
    with pytest.raises(ValueError, match="season"):
        of(database, "corn", even(59, 77), [date(2028, 5, 1)])


@pytest.mark.parametrize("crop", ["corn", "soybean", "wheat", "canola", "sunflower", "sorghum", "potato", "alfalfa"])
def test_stages_come_in_order(database: Database, crop: str) -> None:
    for model in range(len(database.crops[crop].development)):
        dates = [s.spread.p50 for s in of(database, crop, even(55, 80), [PLANTED], model).stages if s.spread.p50]
        assert dates == sorted(dates), (crop, model)
