"""How long it takes to date the stages of many plantings, as a ratio to a plain Python loop on the same numbers.

    python benchmarks/forecast.py            10,000 plantings x 30 years x 214 days x 7 stages, and how it grows
    python benchmarks/forecast.py --quick    1,000 plantings, no growth

Made-up weather of many stations; plantings share stations, as fields do. From daily lows and highs in memory to the day
of each stage in each year. The loop is what one writes first: for each planting and each year, work out the degree-days
of each day, add them up and note each stage. A second loop is handed the finished degree-days, once for each station.
Both run over a part of the plantings; their time for all is scaled up from there. They must give the same days as ours
on that part. Every measurement is a process of its own, so that its peak memory is its own. Never a timed test.
"""

from __future__ import annotations

import argparse
import json
import resource
import statistics
import subprocess
import sys
import time
from dataclasses import dataclass
from typing import Any

import numpy as np

from earleaf.agronomy.degree_days import degree_days
from earleaf.agronomy.development import stage_days
from earleaf.agronomy.ensemble import combine

PLANTINGS, YEARS, DAYS, STATIONS, RUNS = 10_000, 30, 214, 50, 5
LOOPED = 100
STAGES = [115, 361, 607, 935, 1400, 1920, 2700]
"""Degree-days of seven stages. Their size is like corn's; nothing here rests on it."""
SPREAD = [0.95, 1.0, 1.05]

Array = np.ndarray[Any, Any]


@dataclass(frozen=True)
class Station:
    """Lows and highs (years, days), and the days on which its plantings were planted."""

    low: Array
    high: Array
    starts: Array

    @property
    def daily(self) -> Array:
        return np.asarray(degree_days(self.low, self.high, method="modified-86-50", lower=50, upper=86))


def stations(plantings: int, years: int, count: int) -> list[Station]:
    """Made-up seasons, warm in the middle; 60 planting days."""
    random = np.random.default_rng(4)
    season = 42 + 28 * np.sin(np.pi * np.arange(DAYS) / DAYS)
    out = []
    for n in range(count):
        low = season + random.normal(0, 6, (years, DAYS))
        high = low + random.uniform(10, 30, (years, DAYS))
        share = plantings // count + (n < plantings % count)
        out.append(Station(low, high, random.integers(0, 60, share)))
    return out


def days(given: list[Station]) -> list[Array]:
    """Every stage of every planting in every year."""
    return [stage_days(one.daily, one.starts, np.outer(STAGES, [1.0])) for one in given]


def own(given: list[Station]) -> list[Array]:
    """The same where every planting has requirements of its own, so that none shares an answer with another."""
    factor = 1 + np.arange(PLANTINGS * 4) / 1e7
    return [
        stage_days(one.daily, one.starts, np.outer(STAGES, [1.0]) * factor[: len(one.starts), None, None])
        for one in given
    ]


def forecast(given: list[Station]) -> None:
    """Low, typical and high of every stage, then p10, p50 and p90 over the years."""
    for one in given:
        combine(stage_days(one.daily, one.starts, np.outer(STAGES, SPREAD)))


def loop(low: list[list[float]], high: list[list[float]], starts: list[int]) -> list[list[list[int]]]:
    """Plain Python from lows and highs."""
    out = []
    for start in starts:
        planting = []
        for lows, highs in zip(low, high, strict=True):
            found, total, stage = [-1] * len(STAGES), 0.0, 0
            for day in range(start + 1, len(lows)):
                total += (min(max(highs[day], 50), 86) + min(max(lows[day], 50), 86)) / 2 - 50
                while stage < len(STAGES) and total >= STAGES[stage]:
                    found[stage] = day
                    stage += 1
                if stage == len(STAGES):
                    break
            planting.append(found)
        out.append(planting)
    return out


def loop_of_sums(daily: list[list[float]], starts: list[int]) -> list[list[list[int]]]:
    """Plain Python from finished degree-days."""
    out = []
    for start in starts:
        planting = []
        for year in daily:
            found, total, stage = [-1] * len(STAGES), 0.0, 0
            for day in range(start + 1, len(year)):
                total += year[day]
                while stage < len(STAGES) and total >= STAGES[stage]:
                    found[stage] = day
                    stage += 1
                if stage == len(STAGES):
                    break
            planting.append(found)
        out.append(planting)
    return out


def looped(what: str, one: Station) -> float:
    """Seconds of a loop over some plantings of one station, which must find what we find."""
    low, high, daily = one.low.tolist(), one.high.tolist(), one.daily.tolist()
    starts = one.starts[:LOOPED].tolist()
    begin = time.perf_counter()
    made = loop(low, high, starts) if what == "loop" else loop_of_sums(daily, starts)
    seconds = time.perf_counter() - begin
    assert made == days([one])[0][:LOOPED, ..., 0].tolist(), "the loop and ours differ"
    return seconds


def measure(what: str, plantings: int, years: int, count: int) -> dict[str, float]:
    """One measurement, in this process: median seconds, and peak memory in MB before and after."""
    given = stations(plantings, years, count)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    seconds = []
    for _ in range(RUNS):
        if what.startswith("loop"):
            seconds.append(looped(what, given[0]))
            continue
        begin = time.perf_counter()
        {"days": days, "own": own, "forecast": forecast}[what](given)
        seconds.append(time.perf_counter() - begin)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    return {"seconds": statistics.median(seconds), "before": before, "peak": peak}


def apart(what: str, plantings: int = PLANTINGS, years: int = YEARS, count: int = STATIONS) -> dict[str, float]:
    """The same in a process of its own."""
    command = [sys.executable, __file__, "--one", what, str(plantings), str(years), str(count)]
    out: dict[str, float] = json.loads(subprocess.run(command, check=True, capture_output=True, text=True).stdout)
    return out


def line(what: str, value: float, unit: str = "", note: str = "") -> None:
    print(f"  {what:52}{value:9.3f} {unit:3}{note}")


def report(plantings: int, grow: bool) -> None:
    """Measure and print."""
    plain, sums = (apart(what, STATIONS * LOOPED)["seconds"] / LOOPED * plantings for what in ("loop", "loop-of-sums"))
    runs = {what: apart(what, plantings) for what in ("days", "own", "forecast")}
    ours = runs["days"]["seconds"]
    print(f"{plantings:,} plantings x {YEARS} years x {DAYS} days x {len(STAGES)} stages, {STATIONS} stations")
    line(f"plain loop, {LOOPED} plantings measured, scaled to all", plain, "s")
    line("the same, handed finished degree-days", sums, "s")
    line("ours", ours, "s")
    line("ours, each planting with its own requirements", runs["own"]["seconds"], "s")
    line("ours, low, typical, high, then p10, p50, p90", runs["forecast"]["seconds"], "s")
    line("plain loop / ours", plain / ours, note="(goal >= 100)")
    line("plain loop / ours, own requirements", plain / runs["own"]["seconds"])
    line("loop handed degree-days / ours", sums / ours)
    for what, one in runs.items():
        line(f"peak memory, {what}", one["peak"], "MB", f"(goal < 500; {one['before']:.0f} before it starts)")
    if grow:
        growth(plantings, ours, runs["own"]["seconds"])


def growth(plantings: int, ours: float, own: float) -> None:
    """How time grows with plantings, years and stations, and memory where all plantings share one station."""
    for times in (2, 4):
        more = apart("own", times * plantings)
        line(f"growth, {times} x plantings, own requirements", more["seconds"] / own, note=f"(in step: {times})")
        more = apart("days", times * plantings)
        line(f"growth, {times} x plantings, 60 planting days shared", more["seconds"] / ours)
        more = apart("days", plantings, times * YEARS)
        line(f"growth, {times} x years", more["seconds"] / ours, note=f"(in step: {times})")
    line(f"500 stations / {STATIONS} stations", apart("days", plantings, YEARS, 500)["seconds"] / ours)
    for what in ("own", "forecast"):
        line(f"peak memory, {what}, all at 1 station", apart(what, plantings, YEARS, 1)["peak"], "MB", "(goal < 500)")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--quick", action="store_true")
    parser.add_argument("--one", nargs=4, help=argparse.SUPPRESS)
    args = parser.parse_args()
    if args.one:
        print(json.dumps(measure(args.one[0], *map(int, args.one[1:]))))
    else:
        report(1000 if args.quick else PLANTINGS, not args.quick)


if __name__ == "__main__":
    main()
