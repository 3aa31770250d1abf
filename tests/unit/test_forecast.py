"""Stage dates of a planting, in weather so even that they can be worked out by hand."""

from __future__ import annotations

from datetime import date, timedelta
from math import ceil

import numpy as np
import pytest

from earleaf.agronomy.ensemble import PossibleSeasons
from earleaf.agronomy.seasons import NORTH, MonthDay, days_in_season
from earleaf.database.load import Database
from earleaf.model.region import PLANTING
from earleaf.planning.forecast import SeasonWeather, forecast
from earleaf.planning.season import PlantingDates, Spread

YEARS = 9
PLANTED = date(2027, 5, 1)


def even(
    low: float, high: float, unit: str = "F", days: int = 365, start: MonthDay = NORTH, year: int = 2027
) -> SeasonWeather:
    """Nine seasons that are all alike, each day like the other."""
    shape = (YEARS, days)
    return SeasonWeather(
        PossibleSeasons(year, tuple(range(2010, 2010 + YEARS)), np.full(shape, low), np.full(shape, high)), unit, start
    )


def yearly(
    warmest: int, start: MonthDay, year: int, unit: str = "F", mean: float = 55.0, swing: float = 20.0
) -> SeasonWeather:
    """Nine seasons that are all alike, warmest on one day of the year."""
    days = days_in_season(year, start)
    first = date(year, *start)
    of_year = np.array([(first + timedelta(days=n)).timetuple().tm_yday for n in range(days)])
    middle = np.tile(mean + swing * np.cos(2 * np.pi * (of_year - warmest) / 365.25), (YEARS, 1))
    return SeasonWeather(PossibleSeasons(year, tuple(range(2010, 2010 + YEARS)), middle - 5, middle + 5), unit, start)


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
    """40 and 60 F give 18 degree-days above 32 F. Kansas State: 700 from 1 January, that day counted, to Feekes 4."""
    found = of(database, "wheat", even(40, 60), [])
    assert found.start == date(2027, 1, 1) and found.start_event == "season"
    assert spread(found, "4").p50 == date(2027, 1, 1) + timedelta(days=ceil(700 / 18) - 1)
    assert "2" not in {s.code for s in found.stages}


def test_wheat_sown_in_autumn_goes_on_from_new_year(database: Database) -> None:
    """Sown on 25 September: 270 to coming up and 540 more to the first tillers (Great Plains), 498 to 534 to leaf 1
    (Oregon). Its spring counts from 1 January, as if it were not sown at all, and the same for every sowing."""
    sown = date(2026, 9, 25)
    weather = even(40, 60, start=(7, 1), year=2026)
    early, late = forecast(
        database, database.crops["wheat"], database.crops["wheat"].development[0], weather, [sown, date(2026, 10, 5)]
    )
    assert early.start == sown and early.start_event == PLANTING
    assert spread(early, "2").p50 == sown + timedelta(days=ceil((270 + 540) / 18))
    leaf = spread(early, "1")
    assert (leaf.p10, leaf.p50, leaf.p90) == (
        sown + timedelta(days=ceil(498 / 18)),
        None,
        sown + timedelta(days=ceil(534 / 18)),
    )
    assert spread(early, "4").p50 == date(2027, 1, 1) + timedelta(days=ceil(700 / 18) - 1)
    assert spread(late, "4") == spread(early, "4") and spread(late, "2") != spread(early, "2")


def test_wheat_sown_after_new_year_waits_for_the_next(database: Database) -> None:
    found = of(database, "wheat", even(40, 60), [date(2027, 9, 25)])
    assert found.start == date(2027, 9, 25) and spread(found, "2").p50
    assert spread(found, "4") == Spread(None, None, None, YEARS, YEARS)


def test_a_northern_calendar_clock_says_nothing_in_the_south(database: Database) -> None:
    """Summer about New Year: 1 January is no winter day, so only what counts from sowing has a date."""
    south = yearly(warmest=20, start=(1, 1), year=2027)
    assert south.southern and not yearly(warmest=203, start=(1, 1), year=2027).southern
    assert of(database, "wheat", south, []).stages == ()
    found = of(database, "wheat", south, [date(2027, 5, 20)])
    assert {s.code for s in found.stages} == {"1", "2"}


def test_a_southern_season_over_new_year(database: Database) -> None:
    """Corn planted on 10 October 2027 in the south, in a season from 1 July: the rule on late planting, of the north
    and counted from 1 May, leaves it alone, and V6 comes in the same weather as half a year away in the north."""
    south, north = (yearly(w, s, 2027, mean=65.0) for w, s in ((20, (7, 1)), (202, (1, 1))))
    there = of(database, "corn", south, [date(2027, 10, 10)])
    here = of(database, "corn", north, [date(2027, 4, 10)])
    for code in ("VE", "V6", "R1", "R6"):
        days = [(s.p50 - p.start).days for p in (there, here) if (s := spread(p, code)).p50]
        assert len(days) == 2 and abs(days[0] - days[1]) <= 2, code
    assert spread(there, "R1").p50 > date(2027, 11, 30)  # type: ignore[operator]


@pytest.mark.parametrize(
    ("warmest", "start", "frost"),
    [
        (203, (1, 1), date(2027, 4, 20)),
        (203, (7, 1), date(2028, 4, 20)),
        (20, (7, 1), date(2027, 9, 20)),
        (20, (1, 1), date(2027, 9, 20)),
    ],
    ids=["north, from January", "north, from July", "south, from July", "south, from January"],
)
def test_the_last_hard_frost_is_that_of_spring(database: Database, warmest: int, start: MonthDay, frost: date) -> None:
    """Alfalfa, Minnesota: 585 degree-days above 3.5 C after the last night of -2.8 C. Autumn frosts never count."""
    weather = yearly(warmest, start, 2027, unit="C", mean=18.0, swing=10.0)
    lows, highs = weather.possible.t_min, weather.possible.t_max
    for day in (frost, frost + timedelta(days=200), frost - timedelta(days=165)):
        if date(2027, *start) <= day < date(2028, *start):
            lows[:, weather.column(day)] = -5.0
    found = of(database, "alfalfa", weather, [])
    at = weather.column(frost) + 1
    total = np.cumsum(np.maximum((lows[0] + highs[0]) / 2 - 3.5, 0)[at:])
    assert spread(found, "5").p50 == weather.day(at + int(np.searchsorted(total, 585)))


def test_a_month_and_day_is_found_in_a_season_over_new_year() -> None:
    crossing = even(40, 60, start=(7, 1), year=2027, days=366)
    assert crossing.yearly("01-01") == date(2028, 1, 1) and crossing.yearly("07-01") == date(2027, 7, 1)
    assert crossing.yearly("02-29") == date(2028, 2, 29) and crossing.yearly("06-30") == date(2028, 6, 30)
    assert even(40, 60).yearly("02-29") is None


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


def test_wheat_sown_on_new_year_itself_waits_for_the_next(database: Database) -> None:
    """A clock of 1 January is for what was in the ground before that day."""
    crop = database.crops["wheat"]
    weather = even(40, 60, start=(7, 1), year=2026)
    before, on = forecast(database, crop, crop.development[0], weather, [date(2026, 12, 31), date(2027, 1, 1)])
    assert spread(before, "4").p50 == date(2027, 1, 1) + timedelta(days=ceil(700 / 18) - 1)
    assert spread(on, "4") == Spread(None, None, None, YEARS, YEARS)


@pytest.mark.parametrize("start", [(1, 1), (7, 1)])
def test_the_warmest_day_is_a_day_of_the_year(start: MonthDay) -> None:
    """Weather made with its warmest day on day 203, 22 July."""
    weather = yearly(203, start, 2027)
    assert weather.warmest == 203
    assert even(40, 60).warmest is None and even(40, 60).end_of_spring == 365


@pytest.mark.parametrize(
    ("first", "second", "wins"),
    [
        ({}, {}, 0),
        ({"basis": "weak"}, {}, 1),
        ({}, {"basis": "weak"}, 0),
        ({"basis": "weak"}, {"basis": "weak"}, 0),
        ({"typical": None, "basis": "bracket"}, {}, 1),
        ({"typical": None, "basis": "bracket"}, {"basis": "weak"}, 0),
        ({}, {"typical": None, "basis": "bracket"}, 0),
    ],
    ids=str,
)
def test_of_two_clocks_the_first_that_dates_a_stage_holds(
    database: Database, first: dict[str, object], second: dict[str, object], wins: int
) -> None:
    """A bracket and a weak figure give way to a date of its own; nothing else does. 18 degree-days a day."""
    crop = database.crops["corn"]
    leg = crop.development[0].legs[0]
    needs = [
        {"low": 90.0, "typical": 90.0, "high": 90.0, **first},
        {"low": 180.0, "typical": 180.0, "high": 180.0, **second},
    ]
    legs = [leg.model_copy(update={"needs": (leg.needs[0].model_copy(update=update),)}) for update in needs]
    model = crop.development[0].model_copy(update={"legs": tuple(legs), "late": None})
    found = forecast(database, crop, model, even(59, 77), [PLANTED])[0]
    assert spread(found, "VE").p90 == PLANTED + timedelta(days=(5, 10)[wins])


def test_weather_in_the_unit_of_a_clock() -> None:
    """15 and 25 C are 59 and 77 F."""
    lows, highs = even(15, 25, "C").in_unit("F")
    assert (lows == 59).all() and (highs == 77).all()
    lows, highs = even(59, 77, "F").in_unit("C")
    assert np.allclose(lows, 15) and np.allclose(highs, 25)
    assert (even(59, 77, "F").in_unit("F")[0] == 59).all()
