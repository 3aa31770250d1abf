"""Makes the invented weather of the Wrenfold Valley, which is no real place: two stations, a low and a high a day.

    python demo_scenario/weather/make_weather.py

writes valley-floor.csv and hill-farms.csv beside this file, always the same bytes. No reading of a real station is in
them, and every figure below was made up, to be plausible for a valley far from the sea with cold winters.

The mean of a day is the sum of: a wave over the year, warmest on about 22 July; a step for each year; a slow part that
keeps about a month; a quick part that keeps about three days, larger in winter. The daily range is wider in summer and
on mild days in spring, and moves from day to day. The hill farms see the same weather 2 C colder, with a smaller range.
Random numbers are sums of twelve even ones, less 6: only additions, so that every computer gets the same.
"""

from __future__ import annotations

import math
import random
from datetime import date, timedelta
from pathlib import Path
from typing import NamedTuple

FIRST, LAST = date(2009, 1, 1), date(2026, 11, 25)
SEED = 41

MEAN_C, SWING_C = 10.6, 13.0
WARMEST_DAY_OF_YEAR = 203
YEAR_STEP_C = 0.6
SLOW_C, SLOW_KEEP = 1.0, 0.97
QUICK_C, QUICK_WINTER_C, QUICK_KEEP = 3.0, 1.3, 0.68
RANGE_C, RANGE_SWING_C, RANGE_MOVES_C, RANGE_KEEP = 11.2, 2.2, 2.8, 0.35
SMALLEST_RANGE_C = 2.5
OWN_C = 0.5


class Station(NamedTuple):
    """One invented station, and how it differs from the floor of the valley."""

    station: str
    latitude: float
    colder_c: float
    range_share: float


STATIONS = (Station("valley-floor", 41.9, 0.0, 1.0), Station("hill-farms", 42.0, 2.0, 0.88))


def chance(source: random.Random) -> float:
    """A random number with mean 0 and standard deviation 1, at most 6 away from 0."""
    return sum(source.random() for _ in range(12)) - 6


def kept(before: float, keep: float, size: float, source: random.Random) -> float:
    """The next value of a part that keeps a share of itself; its standard deviation is `size`."""
    return keep * before + math.sqrt(1 - keep * keep) * size * chance(source)


def weather() -> list[tuple[date, float, float]]:
    """Day, mean and range of the floor of the valley."""
    source = random.Random(SEED)
    step = {year: YEAR_STEP_C * chance(source) for year in range(FIRST.year, LAST.year + 1)}
    slow = quick = moves = 0.0
    out = []
    for number in range((LAST - FIRST).days + 1):
        day = FIRST + timedelta(days=number)
        wave = math.cos(2 * math.pi * (day.timetuple().tm_yday - WARMEST_DAY_OF_YEAR) / 365.25)
        slow = kept(slow, SLOW_KEEP, SLOW_C, source)
        quick = kept(quick, QUICK_KEEP, QUICK_C - QUICK_WINTER_C * wave, source)
        moves = kept(moves, RANGE_KEEP, RANGE_MOVES_C, source)
        mean = MEAN_C + SWING_C * wave + step[day.year] + slow + quick
        out.append((day, mean, max(SMALLEST_RANGE_C, RANGE_C + RANGE_SWING_C * wave + moves)))
    return out


def csv_text(station: Station) -> str:
    """The file of one station."""
    source = random.Random(f"{SEED} {station.station}")
    lines = [
        "# invented: true",
        f"# station: {station.station}",
        "# unit: C",
        f"# latitude: {station.latitude}",
        "# Made by make_weather.py. No reading of any real station is in this file.",
        "date,low,high",
    ]
    for day, mean, spread in weather():
        here = mean - station.colder_c + OWN_C * chance(source)
        half = spread * station.range_share / 2
        lines.append(f"{day},{here - half:.1f},{here + half:.1f}")
    return "\n".join(lines).replace(",-0.0", ",0.0") + "\n"


def main() -> None:
    """Write both files."""
    for station in STATIONS:
        path = Path(__file__).with_name(f"{station.station}.csv")
        path.write_text(csv_text(station), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
