"""Sunrise and cool hours of a region: its half months, its clocks, its weather, and the picture made of them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date, timedelta

import numpy as np
import pytest

from earleaf.agronomy.diurnal import cool_hours, mornings_cool_until
from earleaf.agronomy.sun import solar_to_clock_h, sun_times
from earleaf.database.manual import ManualDatabase
from earleaf.database.weather import Weather
from earleaf.drawing.day_hours import HoursWords, day_hours
from earleaf.model.region import Region
from earleaf.planning.cool_hours import HalfMonth, RegionHours, region_hours
from earleaf.views.cool_hours import clock

WORDS = HoursWords(tuple("JFMAMJJASOND"), "night", "cool", "perhaps", "warm")


def region(**more: object) -> Region:
    given = {
        "region": "a", "name": "A", "weather": "a.csv", "season": 2027, "plantings": {}, "latitude": 41.9,
        "longitude": -92.6, "time_zone": "America/Chicago",
    }  # fmt: skip
    return Region.model_validate(given | more)


def weather(unit: str = "C", low: float = 10.0, high: float = 30.0, latitude: float | None = None) -> Weather:
    """Four years; each day as warm as its month is late: the low of June is 5 over that of January."""
    days = np.arange("2022-01-01", "2026-11-26", dtype="datetime64[D]")
    month = days.astype("datetime64[M]").astype(int) % 12
    return Weather("a", unit, latitude, True, "a.csv", days, low + month, high + month)  # type: ignore[arg-type]


def hours(place: Region, record: Weather | None = None) -> RegionHours:
    db = ManualDatabase()
    db.regions = {"a": place}
    db.weather = {"a": record or weather()}
    return region_hours(db, place)


def test_the_halves_tile_the_season_and_clocks_do_not_change_inside_one() -> None:
    halves = hours(region()).halves
    days = [half.first + timedelta(days=n) for half in halves for n in range((half.last - half.first).days + 1)]
    assert days == [date(2027, 1, 1) + timedelta(days=n) for n in range(365)]
    assert all((half.first.month, half.first.day > 15) == (half.last.month, half.last.day > 15) for half in halves)
    cut = [half.first for half in halves if half.first.day not in (1, 16)]
    assert cut == [date(2027, 3, 14), date(2027, 11, 7)]


def test_an_hour_is_lost_in_spring_and_won_in_autumn() -> None:
    by_day = {half.first: half for half in hours(region()).halves}
    spring, autumn = by_day[date(2027, 3, 14)], by_day[date(2027, 11, 7)]
    for later, earlier, moved in (
        (spring, by_day[date(2027, 3, 1)], 1.0),
        (autumn, by_day[date(2027, 11, 1)], -1.0),
    ):
        assert (later.sunset_h or 0) - (earlier.sunset_h or 0) == pytest.approx(moved, abs=0.25)


def test_hours_are_those_of_the_sun_and_the_curves_on_the_middle_day() -> None:
    half = next(h for h in hours(region()).halves if h.first == date(2027, 6, 16))
    day = date(2027, 6, 23).timetuple().tm_yday
    sun = sun_times(41.9, day)

    def on_the_clock(solar_h: object) -> float:
        return float(solar_to_clock_h(solar_h, day, longitude_deg=-92.6, utc_offset_h=-5))  # type: ignore[arg-type]

    assert half.sunrise_h == on_the_clock(sun.sunrise_h) and half.sunset_h == on_the_clock(sun.sunset_h)
    ends = mornings_cool_until(sun.sunrise_h, sun.sunset_h, share=0.5)[:, 0]
    assert half.warm_h == tuple(sorted(map(on_the_clock, ends)))
    solved = cool_hours(half.low_c, half.high_c, sunrise_h=sun.sunrise_h, sunset_h=sun.sunset_h, share=0.5)
    assert on_the_clock(solved.morning_to_h) == half.warm_h[0]


def test_lows_and_highs_are_the_means_of_whole_past_seasons() -> None:
    found = hours(region())
    assert found.years == (2022, 2023, 2024, 2025)
    june = next(h for h in found.halves if h.first == date(2027, 6, 1))
    assert (june.low_c, june.high_c) == (pytest.approx(15.0), pytest.approx(35.0))
    in_f = hours(region(), weather("F", 50.0, 86.0))
    january = in_f.halves[0]
    assert (january.low_c, january.high_c) == (pytest.approx(10.0), pytest.approx(30.0))


def test_a_southern_season_over_new_year() -> None:
    place = region(season_start="07-01", latitude=-41.3, longitude=174.8, time_zone="Pacific/Auckland")
    halves = hours(place).halves
    assert (halves[0].first, halves[-1].last) == (date(2027, 7, 1), date(2028, 6, 30))
    longest = max(halves, key=lambda half: half.day_length_h)
    assert longest.first == date(2027, 12, 16) and longest.warm_h[0] < halves[0].warm_h[0]


def test_the_latitude_of_the_file_serves_where_the_region_gives_none() -> None:
    there = hours(region(latitude=None), weather(latitude=41.9))
    assert there.halves == hours(region()).halves


@pytest.mark.parametrize(
    ("lacks", "missing"),
    [
        ({"latitude": None}, ("latitude",)),
        ({"longitude": None}, ("longitude",)),
        ({"time_zone": None}, ("time_zone",)),
        ({"latitude": None, "longitude": None, "time_zone": None}, ("latitude", "longitude", "time_zone")),
        ({"season": 2022}, ("weather",)),
    ],
)
def test_what_is_missing_is_named(lacks: dict[str, object], missing: tuple[str, ...]) -> None:
    found = hours(region(**lacks))
    assert found.missing == missing and found.halves == ()


def test_days_without_sunrise() -> None:
    halves = hours(region(latitude=70.0, longitude=25.0, time_zone="Europe/Oslo")).halves
    assert {half.day_length_h for half in halves if half.sunrise_h is None} == {0.0, 24.0}
    assert all(half.warm_h == () for half in halves if half.sunrise_h is None)
    assert all(half.warm_h for half in halves if half.sunrise_h is not None)


@pytest.mark.parametrize(
    ("hour", "step", "text"),
    [
        (8.72, 15, "8:45"),
        (8.6, 15, "8:30"),
        (5.96, 5, "6:00"),
        (24.01, 5, "0:00"),
        (-0.2, 5, "23:50"),
        (12.5, 5, "12:30"),
    ],
)
def test_the_clock_is_rounded(hour: float, step: int, text: str) -> None:
    assert clock(hour, step) == text


# The picture

BOX = re.compile(r'<rect x="([\d.]+)" y="([\d.]+)" width="([\d.]+)" height="([\d.]+)"/>')


def boxes(svg: str, css: str) -> list[tuple[float, ...]]:
    """The boxes of one layer; the last is that of the key."""
    group = re.search(rf'<g class="{css}".*?</g>', svg, re.S)
    return [tuple(map(float, box)) for box in BOX.findall(group[0])] if group else []


def draw(halves: Sequence[HalfMonth], wide: bool = False) -> str:
    return day_hours(halves, words=WORDS, title="t", description="d", ident="i", wide=wide)


@pytest.mark.parametrize("wide", [True, False])
def test_the_dark_box_runs_from_sunrise_to_the_first_curve(wide: bool) -> None:
    halves = hours(region()).halves
    svg = draw(halves, wide)
    top, hour, left, right = (22.4, 13, 42, 712) if wide else (19.2, 11, 34, 354)
    dark = boxes(svg, "el-season-bar")[:-1]
    assert len(dark) == len(halves) and len(svg) < 20_000
    for (x, y, width, height), half in zip(dark, halves, strict=True):
        assert x == pytest.approx(left + (half.first - halves[0].first).days / 365 * (right - left), abs=0.06)
        assert width == pytest.approx(((half.last - half.first).days + 1) / 365 * (right - left), abs=0.11)
        assert y == pytest.approx(top + (half.sunrise_h or 0) * hour, abs=0.06)
        assert y + height == pytest.approx(top + half.warm_h[0] * hour, abs=0.11)


def test_a_night_that_begins_after_midnight_is_drawn_where_it_is() -> None:
    """Far north in May the sun may set at half past midnight and rise at two: one night, in the small hours."""
    day = date(2027, 5, 10)
    half = HalfMonth(day, day, 1.0, 9.0, 22.5, 2.0, 24.5, (7.0,))
    nights = boxes(draw([half]), "el-season-closed")[:-1]
    assert [(round((y - 19.2) / 11, 1), round(h / 11, 1)) for _, y, _, h in nights] == [(0.5, 1.5)]


def test_no_days_are_no_picture() -> None:
    with pytest.raises(ValueError, match="no days"):
        draw([])


def test_every_column_is_night_or_day_in_the_far_north() -> None:
    svg = draw(hours(region(latitude=78.0, longitude=15.0, time_zone="Europe/Oslo")).halves)
    heights = {round(box[3] / 11) for box in boxes(svg, "el-season-closed")[:-1]}
    assert 24 in heights
