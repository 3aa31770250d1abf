"""The reader of weather files: every way we know to get one wrong, what is filled, what is refused, and how fast."""
# ruff: noqa: E501  (a fault stands on one line)

from __future__ import annotations

import csv
import math
import time
from collections.abc import Iterator
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from earleaf.agronomy.ensemble import possible_seasons
from earleaf.database.weather import Weather, observed, past_seasons, read_weather
from earleaf.model.finding import Finding

HEAD = "# station: mill-hill\n# unit: C\n# latitude: 41.9\n"
FILE = "weather/mill-hill.csv"


def days(first: date, number: int) -> Iterator[date]:
    return (first + timedelta(days=i) for i in range(number))


def lines(first: str = "2026-01-01", number: int = 365) -> list[str]:
    """Rows of a temperate place: coldest on 1 January, lows 12 C below highs, warmest mean 25 C."""
    out = []
    for day in days(date.fromisoformat(first), number):
        mean = 11 - 14 * math.cos(2 * math.pi * day.timetuple().tm_yday / 365.25)
        out.append(f"{day},{mean - 6:.1f},{mean + 6:.1f}")
    return out


def read(rows: list[str], head: str = HEAD, names: str = "date,low,high", **more: object) -> list[Finding]:
    return read_weather("\n".join([*head.splitlines(), names, *rows, ""]).encode(), FILE, **more)[1]  # type: ignore[arg-type]


def station(rows: list[str], head: str = HEAD) -> Weather:
    weather, found = read_weather("\n".join([*head.splitlines(), "date,low,high", *rows, ""]).encode(), FILE)
    assert weather is not None, "\n".join(map(str, found))
    return weather


def test_a_sound_file_gives_arrays_and_no_finding() -> None:
    weather, found = read_weather(
        (HEAD + "# a remark\ndate,low,high\n2026-05-01,4,20.5\n2026-05-02,-3.5,7\n").encode(), FILE
    )
    assert found == [] and weather is not None
    assert (weather.station, weather.unit, weather.latitude, weather.invented) == ("mill-hill", "C", 41.9, False)
    assert weather.dates.astype(str).tolist() == ["2026-05-01", "2026-05-02"]
    assert (weather.lows.tolist(), weather.highs.tolist()) == ([4.0, -3.5], [20.5, 7.0])
    assert (weather.first, weather.last) == (date(2026, 5, 1), date(2026, 5, 2))


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_what_spreadsheets_do_to_a_file_is_no_fault(end: str) -> None:
    text = HEAD + '# invented: true\n\nhigh,date,low\n"20.5","2026-05-01", 4\n\n 7 ,2026-05-02,-3.5\n'
    weather, found = read_weather(b"\xef\xbb\xbf" + text.replace("\n", end).encode(), FILE)
    assert found == [] and weather is not None and weather.invented
    assert (weather.lows.tolist(), weather.highs.tolist()) == ([4.0, -3.5], [20.5, 7.0])


YEAR = lines()
LONG_HEAD = HEAD.replace("# unit: C\n", "")


def changed(old: str, new: str | None) -> list[str]:
    """The year with one row replaced or taken out."""
    at = next(i for i, row in enumerate(YEAR) if row.startswith(old))
    return [*YEAR[:at], *([] if new is None else [new]), *YEAR[at + 1 :]]


# the row of day n of the year (1 for 1 January) stands on line n + 4
FAULTS: dict[str, tuple[list[str], str, str, int, str, str, str]] = {
    # name: rows, head, column names, line, rule, message, hint
    "no unit": (YEAR, LONG_HEAD, "date,low,high", 1, "missing-key", "does not say its unit", "`# unit: C` or `# unit: F`"),
    "unknown unit": (YEAR, HEAD.replace("C", "K"), "date,low,high", 2, "not-allowed", "unit is 'K'", "C or F"),
    "unit without value": (YEAR, HEAD.replace(" C", ""), "date,low,high", 2, "not-allowed", "unit is ''", "C or F"),
    "misspelled unit": (YEAR, HEAD.replace("unit", "unti"), "date,low,high", 2, "unknown-key", "'unti'", "did you mean 'unit'"),
    "no station": (YEAR, "# unit: C\n# x\n# y\n", "date,low,high", 1, "missing-key", "does not say its station", "# station: valley-floor"),
    "station that is no id": (YEAR, HEAD.replace("mill-hill", "Mill Hill"), "date,low,high", 1, "bad-form", "'Mill Hill'", "small letters"),
    "unit twice": (YEAR, HEAD.replace("# latitude: 41.9", "# unit: F"), "date,low,high", 3, "duplicate-key", "unit is here twice", "keep one"),
    "latitude that shows a field": (YEAR, HEAD.replace("41.9", "41.9137"), "date,low,high", 3, "out-of-range", "41.9137 is too close", "41.9: so"),
    "latitude in words": (YEAR, HEAD.replace("41.9", "41.9 N"), "date,low,high", 3, "bad-form", "'41.9 N'", "such as 41.9"),
    "latitude beyond the pole": (YEAR, HEAD.replace("41.9", "141.9"), "date,low,high", 3, "bad-form", "'141.9'", "such as 41.9"),
    "longitude": (YEAR, HEAD.replace("latitude", "longitude"), "date,low,high", 3, "unknown-key", "longitude is not needed", "delete"),
    "bad date": (changed("2026-03-01", "03/01/2026,1,9"), HEAD, "date,low,high", 64, "bad-cell", "date is '03/01/2026'", "year first"),
    "a day that is none": (changed("2026-03-01", "2026-02-29,1,9"), HEAD, "date,low,high", 64, "bad-cell", "'2026-02-29'", "year first"),
    "no date": (changed("2026-03-01", ",1,9"), HEAD, "date,low,high", 64, "bad-cell", "date is empty", "year first"),
    "year with a slip": (changed("2026-03-01", "0206-03-01,1,9"), HEAD, "date,low,high", 64, "bad-cell", "'0206-03-01'", "year first"),
    "bad low": (changed("2026-03-01", "2026-03-01,M,9"), HEAD, "date,low,high", 64, "bad-cell", "low is 'M'", "leave the cell empty"),
    "bad high": (changed("2026-03-01", "2026-03-01,1,9 C"), HEAD, "date,low,high", 64, "bad-cell", "high is '9 C'", "such as -3.5"),
    "infinite": (changed("2026-03-01", "2026-03-01,1,inf"), HEAD, "date,low,high", 64, "bad-cell", "high is 'inf'", "a number"),
    "two points": (changed("2026-03-01", "2026-03-01,1,9.5.1"), HEAD, "date,low,high", 64, "bad-cell", "'9.5.1'", "a number"),
    "decimal comma": (changed("2026-03-01", "2026-03-01,1,5,9,5"), HEAD, "date,low,high", 64, "wrong-length", "5 cells under 3", "a point"),
    "short row": (changed("2026-03-01", "2026-03-01,1"), HEAD, "date,low,high", 64, "wrong-length", "2 cells under 3", "one high"),
    "missing column": (YEAR, HEAD, "date,low", 4, "missing-key", "no column 'high'", "date,low,high"),
    "unknown column": (YEAR, HEAD, "date,low,hihg", 4, "unknown-key", "'hihg'", "did you mean 'high'"),
    "a column too many": (YEAR, HEAD, "date,low,high,rain", 4, "unknown-key", "'rain'", "allowed: date, low, high"),
    "column twice": (YEAR, HEAD, "date,low,high,low", 4, "duplicate-key", "column name is there twice", "keep one"),
    "no column names": (YEAR[1:], HEAD, YEAR[0], 4, "missing-key", "no line with the names", "date,low,high"),
    "semicolons": (YEAR, HEAD, "date;low;high", 4, "bad-csv", "semicolons", "use commas"),
    "day twice": (changed("2026-03-02", "2026-03-01,1,9"), HEAD, "date,low,high", 65, "weather-days", "2026-03-01 is here twice", "keep one row"),
    "days out of order": (changed("2026-03-01", "2026-01-30,1,9")[60:] + YEAR[:59], HEAD, "date,low,high", 310, "weather-days", "2026-01-01 stands below a later day", "sort the rows"),
    "days backwards": (YEAR[::-1], HEAD, "date,low,high", 6, "weather-days", "do not run from early to late", "sort the rows"),
    "low above high": (changed("2026-03-01", "2026-03-01,12,3"), HEAD, "date,low,high", 64, "weather-readings", "2026-03-01: low 12, high 3", "correct the low"),
    "swapped columns": (YEAR, HEAD, "date,high,low", 4, "weather-readings", "low is above the high on most days", "swap the columns"),
    "code for missing": (changed("2026-03-01", "2026-03-01,-999,3"), HEAD, "date,low,high", 64, "weather-readings", "low -999, high 3", "no code such as -999"),
    "Fahrenheit as Celsius": ([f"{d},50,80" for d in days(date(2026, 5, 1), 60)], HEAD, "date,low,high", 2, "weather-readings", "look like degrees F", "Declare degrees F"),
    "Celsius as Fahrenheit": (YEAR, HEAD.replace(" C", " F"), "date,low,high", 2, "weather-readings", "look like degrees C", "Declare degrees C"),
    "Kelvin": ([f"{d},280,290" for d in days(date(2026, 5, 1), 60)], HEAD, "date,low,high", 2, "weather-readings", "too high for either unit", "C or F"),
    "no rows": ([], HEAD, "date,low,high", 4, "empty-file", "no day in this file", "one row for each day"),
    "no readings": (["2026-05-01,,", "2026-05-02,,"], HEAD, "date,low,high", 4, "empty-file", "no day has both", "enter the readings"),
}  # fmt: skip


@pytest.mark.parametrize("name", FAULTS)
def test_a_fault_is_told_once_with_its_line(name: str) -> None:
    rows, head, names, line, rule, message, hint = FAULTS[name]
    found = read(rows, head, names)
    told = "\n".join(map(str, found))
    mine = [f for f in found if (f.file, f.line, f.rule, f.level) == (FILE, line, rule, "error")]
    assert len(found) == len(mine) == 1, told
    assert message in mine[0].message and hint in mine[0].hint, told
    assert read_weather("\n".join([*head.splitlines(), names, *rows]).encode(), FILE)[0] is None


@pytest.mark.parametrize(
    ("data", "rule", "line"),
    [
        (b"", "empty-file", 0),
        (HEAD.encode(), "empty-file", 0),
        (HEAD.encode() + b"date,low,high\n2026-05-01,4,\xff\n", "not-utf-8", 5),
        (b"\x00\x01\x02", "unknown-key", 1),
        (b"x" * 20_000_001, "file-too-large", 0),
        (HEAD.encode() + b'date,low,high\n2026-05-01,4,"' + b"5" * 200_000, "wrong-length", 5),
        (HEAD.encode() + b"date,low,high\n2026-05-01,4," + b"5" * 5_000, "weather-readings", 2),
    ],
)
def test_what_is_no_weather_file_is_told(data: bytes, rule: str, line: int) -> None:
    weather, found = read_weather(data, FILE)
    assert weather is None and (rule, line) in [(f.rule, f.line) for f in found]


def test_many_faults_of_one_kind_are_counted() -> None:
    found = read([row.replace("2026-", "26-") for row in YEAR])
    assert [f.line for f in found] == [5, 6, 7, 8, 9, 10]
    assert found[-1].message == "360 more of this kind" and "year first" in found[-1].hint
    found = read([f"{day},{5 if i % 2 else 1},3" for i, day in enumerate(days(date(2026, 1, 1), 365))])
    assert len(found) == 6 and found[-1].message == "177 more of this kind"


def test_several_faults_are_told_at_once() -> None:
    rows = changed("2026-03-01", "2026-03-01,12,3")
    rows[0] = "2026-01-01,M,3"
    assert [(f.line, f.rule) for f in read(rows, LONG_HEAD)] == [(1, "missing-key"), (4, "bad-cell")]
    assert [(f.line, f.rule) for f in read(rows)] == [(5, "bad-cell"), (64, "weather-readings")]


def test_a_short_gap_is_filled_on_a_straight_line_and_told() -> None:
    rows = ["2026-05-01,4,20", "2026-05-04,10,26", "2026-05-05,,26", "2026-05-06,6,22"]
    weather, found = read_weather("\n".join([HEAD + "date,low,high", *rows]).encode(), FILE)
    assert weather is not None
    assert weather.lows.tolist() == [4, 6, 8, 10, 8, 6] and weather.highs.tolist() == [20, 22, 24, 26, 26, 22]
    assert [(f.level, f.rule, f.line) for f in found] == [("warning", "weather-gap", 5), ("warning", "weather-gap", 7)]
    assert "from 2026-05-02 to 2026-05-03 (2 days)" in found[0].message and "straight line" in found[0].message
    assert weather.gaps == ()


def test_a_long_gap_is_refused_in_a_season_that_needs_it() -> None:
    rows = YEAR[:100] + YEAR[104:]
    weather, found = read_weather("\n".join([HEAD + "date,low,high", *rows]).encode(), FILE)
    assert weather is not None and weather.gaps == ((date(2026, 4, 11), date(2026, 4, 14)),)
    assert np.isnan(weather.lows).sum() == 4
    assert [(f.level, f.line) for f in found] == [("warning", 104)] and "is not used" in found[0].message
    (needed,) = read(rows, needed=[(date(2026, 4, 12), date(2026, 12, 31))])
    assert (needed.level, needed.rule, needed.line) == ("error", "weather-gap", 104)
    assert "from 2026-04-11 to 2026-04-14 (4 days); the season so far cannot be used" in needed.message
    for span in [(date(2026, 4, 15), date(2026, 12, 31)), (date(2026, 5, 1), date(2026, 3, 1))]:
        assert [f.level for f in read(rows, needed=[span])] == ["warning"]


def test_a_day_that_is_not_over_is_left_out() -> None:
    """This morning's low is known, the high is not."""
    weather, found = read_weather("\n".join([HEAD + "date,low,high", *YEAR, "2027-01-01,-3,"]).encode(), FILE)
    assert weather is not None and weather.last == date(2026, 12, 31)
    assert [(f.level, f.line) for f in found] == [("warning", 370)]
    needed = read([*YEAR, "2027-01-01,-3,"], needed=[(date(2027, 1, 1), date(2027, 12, 31))])
    assert [f.level for f in needed] == ["warning"]


def test_seasons_with_a_long_gap_and_later_ones_are_not_looked_back_on() -> None:
    rows = lines("2020-01-01", 5 * 365)
    weather = station(rows[:800] + rows[810:])
    assert past_seasons(weather, 2027, (1, 1)).years == (2020, 2021, 2023)  # 2022 has the gap, 2024 ends on 29 December
    assert past_seasons(weather, 2023, (1, 1)).years == (2020, 2021)
    assert past_seasons(weather, 2027, (1, 1), days=300).years == (2020, 2021, 2023, 2024)
    assert past_seasons(weather, 2020, (1, 1)).years == ()


def test_a_southern_season_crosses_the_year_and_a_leap_day_is_a_day() -> None:
    weather = station(lines("2019-07-01", 366 + 365 + 90))  # two whole seasons, the first with 29 February 2020
    past = past_seasons(weather, 2021, (7, 1))
    assert past.years == (2019, 2020)
    low, high = observed(weather, date(2021, 7, 1), date(2022, 6, 30))
    assert len(low) == len(high) == 90
    possible = possible_seasons(past, 2021, low, high)
    assert possible.t_min.shape == (2, 365) and (possible.t_min[:, :90] == low).all()
    leap = weather.dates == np.datetime64("2020-02-29")
    assert leap.sum() == 1 and past_seasons(weather, 2023, (7, 1), days=80).t_min[0, 243] == weather.lows[leap][0]
    assert possible_seasons(past, 2023).t_min.shape == (2, 366)


def test_days_so_far() -> None:
    weather = station(YEAR)
    assert len(observed(weather, date(2026, 1, 1), date(2026, 2, 28))[0]) == 59
    assert len(observed(weather, date(2027, 1, 1), date(2027, 2, 28))[0]) == 0
    with pytest.raises(ValueError, match="starts on 2026-01-01, after 2025-07-01"):
        observed(weather, date(2025, 7, 1), date(2026, 6, 30))


@settings(max_examples=200, deadline=None)
@given(st.binary(max_size=300), st.booleans())
def test_no_bytes_raise(data: bytes, after_head: bool) -> None:
    weather, found = read_weather(HEAD.encode() + b"date,low,high\n" + data if after_head else data, FILE)
    assert (weather is None) == any(f.level == "error" for f in found)
    assert all(f.file == FILE and f.message and f.hint for f in found)


CELL = st.sampled_from(
    ["2026-01-01", "2026-01-02", "2026-01-06", "2026-02-30", "1", "-5", "999", "", "x", '"', "1,2", "é", " "]
)


@settings(max_examples=300, deadline=None)
@given(st.lists(st.tuples(CELL, CELL, CELL), max_size=12))
def test_no_rows_raise(rows: list[tuple[str, str, str]]) -> None:
    weather, found = read_weather((HEAD + "date,low,high\n" + "\n".join(map(",".join, rows))).encode(), FILE)
    assert (weather is None) == any(f.level == "error" for f in found)


def test_many_lines_take_a_few_times_as_long_as_a_plain_loop() -> None:
    """Beside the standard library's own reader on the same bytes: dates and figures, nothing looked at."""
    rows = [f"{day},-3.5,7.2" for day in days(date(1600, 1, 1), 50_000)]
    data = "\n".join([HEAD + "date,low,high", *rows]).encode()

    def plain() -> None:
        for day, low, high in csv.reader(rows):
            date.fromisoformat(day), float(low), float(high)

    def ours() -> None:
        weather, found = read_weather(data, FILE)
        assert weather is not None and len(weather.dates) == 50_000 and found == []

    ratios = []
    for _ in range(5):
        start = time.process_time()
        plain()
        between = time.process_time()
        ours()
        ratios.append((time.process_time() - between) / (between - start))
    assert min(ratios) < 30, ratios
