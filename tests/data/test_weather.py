"""Regions: every way we know to get one wrong, with the message it must give; and the invented valley of the demo."""
# ruff: noqa: E501  (the data below is written as its authors write it, one record a line)

from __future__ import annotations

import doctest
import importlib.util
import re
from datetime import date, timedelta
from functools import cache
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest
from test_faults import BEAN, CORN, Case, fits, line_of
from test_timing import FILES as TIMED
from test_timing import ROWS

from earleaf.database.manual import ManualDatabase, load_manual
from earleaf.database.plantings import planted
from earleaf.database.weather import past_seasons, season_so_far
from earleaf.model import region as region_model
from earleaf.model.finding import Finding
from earleaf.model.region import Region
from earleaf.site.build import Prepared, prepare
from small_manual import write

WEATHER, MANUAL = "weather/mill-hill.csv", "manual.yml"
TOLD = "regions"


@cache
def rows(first: str, last: str) -> str:
    """One row for each day; the same week again and again."""
    start, end = date.fromisoformat(first), date.fromisoformat(last)
    every = (start + timedelta(days=i) for i in range((end - start).days + 1))
    return "".join(f"{day},{day.weekday()}.5,{day.weekday() + 12}\n" for day in every)


HEAD = "# invented: true\n# station: mill-hill\n# unit: C\n# latitude: 41.9\ndate,low,high\n"
FILES = dict(TIMED)
FILES[MANUAL] += """\
regions:
- region: mill-hill
  name: Mill hill
  weather: weather/mill-hill.csv
  latitude: 41.9
  longitude: -92.6
  time_zone: America/Chicago
  season: 2027
  season_start: "01-01"
  plantings:
    corn:
    - 04-20
    - 05-05
    bean/bean-bush: [05-10, 2027-05-25]
    bean/bean-pole: {R1: [07-01]}
  as_of: 2026-11-25
  decide_by: {corn/silk: 2027-07-10}
  mailing_days: [mon, tue, wed]
  holidays: [2027-05-31]
- {region: far-hill, name: Far hill, weather: weather/mill-hill.csv, season: 2027, plantings: {corn: calendar}}
"""
FILES[WEATHER] = HEAD + rows("2009-01-01", "2026-11-25")
FILES[BEAN] += """\
development:
- {model: bean-bush, kind: bush bean, status: partial, confidence: Thin., restart: Look., depends_on: Much., legs: [{leg: all, from: planting, method: days, unit: days, needs: [{stage: R1, typical: 40, rows: [bean.uni-a.t1]}]}]}
- {model: bean-pole, kind: pole bean, status: partial, confidence: Thin., restart: Look., depends_on: Much., legs: [{leg: all, from: R1, method: days, unit: days, needs: [{stage: R3, typical: 9, rows: [bean.uni-a.t2]}]}]}
"""
FILES[ROWS] += """\
bean.uni-a.t1,uni-a,bean,days,,,,planting,bloom,R1,,40,,,,,days,,
bean.uni-a.t2,uni-a,bean,days,,,,bloom,pods,R3,,9,,,,,days,,
"""
BUSH = "bean/bean-bush: [05-10, 2027-05-25]"


def manual(
    name: str, old: str, new: str, at: str, says: str, hint: str, rule: str = TOLD, level: str = "error"
) -> Case:
    return Case(name, MANUAL, old, new, rule, at, (says,), (hint,), level)


CASES = [
    manual("unknown crop", "    corn:\n", "    cron:\n", "cron:\n", "unknown crop 'cron'", "did you mean 'corn'?"),
    manual("crop of the database that is not in the manual", "crops: [corn, bean]", "crops: [corn]", "bean/bean-bush", "bean is not in this manual", "add it to `crops:`"),
    manual("several models", BUSH, "bean: [05-10]", "bean: [05-10]", "bean has 2 timing models", "name one: bean/bean-bush, bean/bean-pole"),
    manual("unknown model", BUSH, "bean/bush: [05-10]", "bean/bush", "bean has no model 'bush'", "did you mean 'bean/bean-bush'?"),
    manual("no planting date", BUSH, "bean/bean-bush: []", "bean/bean-bush", "bean/bean-bush needs a day of planting", 'write `bean/bean-bush: ["05-05"]`'),
    manual("calendar where plants are sown", BUSH, "bean/bean-bush: calendar", "bean/bean-bush", "needs a day of planting", "05-05"),
    manual("calendar where a stage starts it", "bean/bean-pole: {R1: [07-01]}", "bean/bean-pole: calendar", "bean/bean-pole", "bean/bean-pole needs a day of R1", 'write `bean/bean-pole: {R1: ["06-02"]}`'),
    manual("planting where a stage starts it", "bean/bean-pole: {R1: [07-01]}", "bean/bean-pole: [07-01]", "bean/bean-pole", "does not start at planting", "{R1:"),
    manual("unknown event", "{R1: [07-01]}", "{R2: [07-01]}", "bean/bean-pole", "does not start at R2", "{R1:"),
    manual("planting in another year", "2027-05-25", "2026-05-25", "bean/bean-bush", "2026-05-25 is no day of the season 2027-01-01 to 2027-12-31", "change `season`"),
    manual("planting on a leap day of a common year", "- 05-05", "- 02-29", "- 02-29", "02-29 is no day of the season", "give another day"),
    manual("planting on no day at all", "- 05-05", "- 06-31", "- 06-31", "'06-31', which has the wrong form", "such as 07-15", rule="bad-form"),
    manual("planting in words", "- 05-05", "- 5 May", "- 5 May", "'5 May', which has the wrong form", "such as 07-15", rule="bad-form"),
    manual("planting twice", "- 05-05", "- 2027-04-20", "- 2027-04-20", "2027-04-20 is here twice", "keep one"),
    manual("season that starts on a leap day", '"01-01"', '"02-29"', "season_start", "'02-29', which has the wrong form", "month and day", rule="bad-form"),
    manual("unknown protocol", "corn/silk", "corn/silks", "decide_by", "unknown protocol 'corn/silks'", "did you mean 'corn/silk'?"),
    manual("decision in another year", "2027-07-10", "2026-07-10", "decide_by", "2026-07-10 is outside the season", "a day of this season"),
    manual("holidays of last year", "[2027-05-31]", "[2026-05-25]", "holidays", "holiday 2026-05-25 is outside the season", "of this season", level="warning"),
    manual("unknown mailing day", "[mon, tue, wed]", "[mon, tues]", "mailing_days", "'tues'", "did you mean 'tue'?", rule="not-allowed"),
    manual("no mailing day", "[mon, tue, wed]", "[]", "mailing_days", "empty list", "at least one", rule="empty-value"),
    manual("as_of after the readings", "as_of: 2026-11-25", "as_of: 2027-02-01", "as_of", "as_of is 2027-02-01, but the readings end on 2026-11-25", "leave it out"),
    manual("as_of after the season", "as_of: 2026-11-25", "as_of: 2028-02-01", "as_of", "as_of is 2028-02-01, after the season", "leave it out"),
    manual("no such file", "  weather: weather/mill-hill.csv\n  latitude", "  weather: weather/hill.csv\n  latitude", "weather: weather/hill", "'weather/hill.csv' cannot be read", "from the manual's own folder", rule="missing-file"),
    manual("a folder for a file", "  weather: weather/mill-hill.csv\n  latitude", "  weather: weather\n  latitude", "weather: weather\n", "'weather' cannot be read", "CSV file", rule="missing-file"),
    manual("region twice", "region: far-hill", "region: mill-hill", "- {region: mill-hill", "region 'mill-hill' is here twice", "rename one", rule="duplicate-id"),
    manual("unknown key", "  as_of:", "  asof:", "asof", "unknown key 'asof'", "did you mean 'as_of'?", rule="unknown-key"),
    manual("a place that is too close", "longitude: -92.6", "longitude: -92.61", "longitude", "longitude -92.61 is too close", "round it to a tenth of a degree, -92.6"),
    manual("another latitude than the file", "latitude: 41.9", "latitude: 49.1", "latitude", "latitude is 49.1, but weather/mill-hill.csv says 41.9", "leave it out here"),
    manual("latitude off the earth", "latitude: 41.9", "latitude: 141.9", "latitude", "is 141.9", "less than or equal to 90", rule="out-of-range"),
    manual("longitude in words", "longitude: -92.6", "longitude: 92.6 W", "longitude", "'92.6 W'", "a number", rule="wrong-type"),
    manual("no number at all", "longitude: -92.6", "longitude: .nan", "longitude", "longitude", "", rule="wrong-type"),
    manual("west without a minus", "longitude: -92.6", "longitude: 92.6", "longitude", "at longitude 92.6 the sun stands highest at 0 h on clocks of America/Chicago", "west is negative"),
    manual("unknown time zone", "America/Chicago", "America/Chigaco", "time_zone", "unknown time zone 'America/Chigaco'", "did you mean 'America/Chicago'?"),
    manual("a path for a time zone", "America/Chicago", "../America/Chicago", "time_zone", "unknown time zone", "did you mean 'America/Chicago'?"),
    manual("region without plantings", ", plantings: {corn: calendar}", "", "- {region: far-hill", "'plantings' is missing", "add it", rule="missing-key"),
]  # fmt: skip


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    write(tmp_path, FILES)
    return tmp_path


def findings(folder: Path, today: date = date(2026, 11, 25)) -> list[Finding]:
    return prepare(folder / MANUAL, today).findings


def change(folder: Path, file: str, old: str, new: str) -> str:
    text = (folder / file).read_text("utf-8")
    assert text.count(old) == 1, f"{old!r} is not once in {file}"
    (folder / file).write_text(text.replace(old, new), "utf-8", newline="")
    return text.replace(old, new)


def test_the_small_manual_with_regions_has_no_faults(folder: Path) -> None:
    assert findings(folder) == []


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_a_fault_of_a_region_is_told(case: Case, folder: Path) -> None:
    assert isinstance(case.new, str)
    text = change(folder, MANUAL, case.old, case.new)
    found = [f for f in findings(folder) if not (f.level == "warning" and case.level == "error")]
    told = "\n".join(map(str, found))
    at = (case.rule, MANUAL, line_of(case.at, text), case.level)
    mine = [f for f in found if (f.rule, f.file, f.line, f.level) == at and fits(case, f)]
    assert len(mine) == 1, told or "nothing was found"
    if case.name not in (
        "crop of the database that is not in the manual",
        "unknown key",
        "season that starts on a leap day",
    ):
        assert found == mine, told


def test_a_crop_without_a_timing_is_a_warning(folder: Path) -> None:
    change(folder, BEAN, FILES[BEAN][FILES[BEAN].index("development:") :], "")
    change(folder, MANUAL, BUSH, "bean: [05-10]")
    change(folder, MANUAL, "    bean/bean-pole: {R1: [07-01]}\n", "")
    change(folder, ROWS, FILES[ROWS][FILES[ROWS].index("bean.uni-a.t1") :], "")
    (found,) = findings(folder)
    assert (found.level, found.rule, found.file) == ("warning", TOLD, MANUAL)
    assert "no published timing of bean was found: watch the crop" in found.message


@pytest.mark.parametrize(
    ("first", "level", "says"),
    [
        ("2017-01-01", "warning", "only 9 whole seasons before 2027-01-01"),
        ("2017-01-02", "warning", "only 8 whole seasons"),
        ("2025-01-01", "warning", "only 1 whole season before"),
        ("2025-01-02", "error", "no whole season before 2027-01-01"),
        ("2016-01-01", "", ""),
    ],
)
def test_few_past_seasons_are_told(first: str, level: str, says: str, folder: Path) -> None:
    (folder / WEATHER).write_text(HEAD + rows(first, "2026-11-25"), "utf-8")
    lines = [line_of(words, FILES[MANUAL]) for words in ("  weather: weather/mill-hill.csv\n", "- {region: far-hill")]
    found = findings(folder)
    assert [(f.level, f.line) for f in found] == ([(level, line) for line in lines] if level else [])
    assert all(says in f.message and "10 or more, each from 01-01" in f.hint for f in found)


def test_a_season_that_began_without_readings_is_told(folder: Path) -> None:
    assert findings(folder, date(2026, 12, 31)) == []
    found = [f for f in findings(folder, date(2027, 1, 1)) if f.rule == TOLD]
    assert {f.level for f in found} == {"warning"} and len(found) == 2
    assert all(
        "the season began on 2027-01-01, and weather/mill-hill.csv ends on 2026-11-25" in f.message for f in found
    )


def test_a_long_gap_in_the_season_so_far_is_an_error_before_it_a_warning(folder: Path) -> None:
    change(folder, MANUAL, "  as_of: 2026-11-25\n", "")
    whole = HEAD + rows("2009-01-01", "2027-05-20")
    gap = re.sub(r"2027-04-1[0-3].*\n", "", whole)
    (folder / WEATHER).write_text(gap, "utf-8")
    (found,) = findings(folder, date(2027, 5, 21))
    assert (found.level, found.rule, found.file) == ("error", "weather-gap", WEATHER)
    assert found.line == line_of("2027-04-09", gap) and "from 2027-04-10 to 2027-04-13 (4 days)" in found.message
    (folder / WEATHER).write_text(re.sub(r"2015-04-1[0-3].*\n", "", whole), "utf-8")
    (found,) = findings(folder, date(2027, 5, 21))
    assert (found.level, found.rule) == ("warning", "weather-gap")
    _, db = load_manual(folder / MANUAL)
    assert past_seasons(db.weather["far-hill"], 2027, (1, 1)).years == (*range(2009, 2015), *range(2016, 2027))


def test_a_faulty_weather_file_is_told_once_for_all_its_regions(folder: Path) -> None:
    text = change(folder, WEATHER, "2020-02-29,5.5,17\n", "2020-02-29,17,5.5\n")
    (found,) = findings(folder)
    assert (found.file, found.line, found.rule) == (WEATHER, line_of("2020-02-29", text), "weather-readings")
    assert "2020-02-29: low 17, high 5.5" in found.message


def test_two_files_of_one_station_are_told(folder: Path) -> None:
    (folder / "weather/other.csv").write_text(FILES[WEATHER], "utf-8")
    change(
        folder, MANUAL, "name: Far hill, weather: weather/mill-hill.csv", "name: Far hill, weather: weather/other.csv"
    )
    (found,) = findings(folder)
    assert (found.file, found.rule) == (
        "weather/other.csv",
        "duplicate-id",
    ) and "also in weather/mill-hill.csv" in found.message


def test_invented_weather_stays_in_a_demonstration(folder: Path) -> None:
    change(folder, MANUAL, "invented: true\nsite_url", "invented: false\nsite_url")
    found = [f for f in findings(folder) if f.rule == TOLD]
    assert len(found) == 2 and all("invented" in f.message and f.level == "error" for f in found)


def test_a_crop_file_that_cannot_be_read_is_one_fault(folder: Path) -> None:
    (folder / BEAN).write_bytes(b"\xff")
    change(folder, MANUAL, "decide_by: {corn/silk: 2027-07-10}", "decide_by: {bean/bloom: 2027-07-10}")
    assert [f.rule for f in findings(folder)] == ["not-utf-8"]


def test_a_southern_season_takes_in_its_leap_day(folder: Path) -> None:
    change(folder, MANUAL, '"01-01"', '"07-01"')
    change(folder, MANUAL, "    - 04-20\n    - 05-05\n", "    - 10-15\n    - 02-29\n")
    change(folder, MANUAL, BUSH, "bean/bean-bush: [2028-02-28, 11-01]")
    change(folder, MANUAL, "2027-07-10", "2028-01-10")
    change(folder, MANUAL, "[2027-05-31]", "[2028-01-01]")
    assert findings(folder) == []
    _, db = load_manual(folder / MANUAL)
    region = db.regions["mill-hill"]
    days = {
        (model.model, event): sorted(str(region.day(text)) for text in texts)
        for key, given in region.plantings.items()
        for model in planted(db, key)[1:]
        if model
        for event, texts in given.items()
    }
    assert days == {
        ("corn-small", "planting"): ["2027-10-15", "2028-02-29"],
        ("bean-bush", "planting"): ["2027-11-01", "2028-02-28"],
        ("bean-pole", "R1"): ["2027-07-01"],
    }
    assert past_seasons(db.weather["mill-hill"], 2027, (7, 1)).years == tuple(range(2009, 2026))


def southern(first: str, last: str) -> str:
    """One row for each day, warmest on 20 January."""
    start, end = date.fromisoformat(first), date.fromisoformat(last)
    every = [start + timedelta(days=i) for i in range((end - start).days + 1)]
    wave = np.cos(2 * np.pi * (np.array([d.timetuple().tm_yday for d in every]) - 20) / 365.25)
    return "".join(f"{day},{10 + 8 * w:.1f},{22 + 8 * w:.1f}\n" for day, w in zip(every, wave, strict=True))


def calendar_clock(folder: Path) -> None:
    """The corn of the small manual gets a stage that counts from 1 May."""
    change(folder, CORN, "{at: grain, low: 500", "{stage: R2, low: 500")


def test_a_clock_of_the_northern_spring_is_told_in_the_south(folder: Path) -> None:
    calendar_clock(folder)
    (folder / WEATHER).write_text(HEAD.replace("41.9", "-41.9") + southern("2009-01-01", "2026-11-25"), "utf-8")
    change(folder, MANUAL, "latitude: 41.9", "latitude: -41.9")
    found = [f for f in findings(folder) if f.rule == TOLD]
    assert [(f.level, f.line) for f in found] == [
        ("warning", line_of(words, (folder / MANUAL).read_text("utf-8")))
        for words in ("    corn:\n", "- {region: far-hill")
    ]
    assert all("counts from 05-01, a day of the northern spring" in f.message for f in found)


def test_a_planting_after_its_clock_is_told(folder: Path) -> None:
    """20 April comes before the clock of 1 May, 5 May after it: what waits for that clock comes in the next season."""
    calendar_clock(folder)
    (found,) = [f for f in findings(folder) if f.rule == TOLD]
    assert (found.level, found.file) == ("warning", MANUAL)
    assert (
        "corn planted on 05-05 waits for 05-01, which comes in the season after 2027-01-01 to 2027-12-31"
        in found.message
    )
    assert "season_start" in found.hint


def test_the_season_so_far(folder: Path) -> None:
    (folder / WEATHER).write_text(HEAD + rows("2009-01-01", "2027-05-20"), "utf-8")
    _, db = load_manual(folder / MANUAL)
    weather, region = db.weather["far-hill"], db.regions["far-hill"]
    assert season_so_far(weather, region) == (date(2027, 1, 1), date(2027, 5, 20))
    for as_of, last in [("2027-04-30", date(2027, 4, 30)), ("2027-06-30", date(2027, 5, 20)), ("2026-12-31", None)]:
        so_far = season_so_far(weather, region.model_copy(update={"as_of": date.fromisoformat(as_of)}))
        assert so_far == ((date(2027, 1, 1), last) if last else None)


def test_a_ladder_may_be_written_in_several_ways() -> None:
    more = {"region": "a", "name": "A", "weather": "a.csv", "season": "2028"}
    region = Region.model_validate(
        more | {"plantings": {"a": "05-01", "b": [], "c": "calendar", "d": {"R1": ["05-01"]}, "e": ["02-29"]}}
    )
    assert region.plantings == {
        "a": {"planting": ("05-01",)},
        "b": {},
        "c": {},
        "d": {"R1": ("05-01",)},
        "e": {"planting": ("02-29",)},
    }
    assert region.day("02-29") == date(2028, 2, 29) and (region.first_day, region.last_day) == (
        date(2028, 1, 1),
        date(2028, 12, 31),
    )
    assert region.mailing_days == ("mon", "tue", "wed") and region.start == (1, 1)
    south = region.model_copy(update={"season": 2027, "season_start": "07-01"})
    assert south.last_day == date(2028, 6, 30) and south.day("02-29") == date(2028, 2, 29)
    assert south.day("2027-06-30") is None and south.day("2029-02-29") is None


def test_the_examples_in_the_text_hold() -> None:
    result = doctest.testmod(region_model)
    assert (result.failed, result.attempted >= 3) == (0, True)


# the invented valley


def valley(demo: Prepared) -> ManualDatabase:
    assert isinstance(demo.db, ManualDatabase)
    return demo.db


def maker(root: Path) -> ModuleType:
    spec = importlib.util.spec_from_file_location("make_weather", root / "demo_scenario/weather/make_weather.py")
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_the_demo_weather_is_what_the_script_makes(root: Path) -> None:
    made = maker(root)
    assert [s.station for s in made.STATIONS] == ["valley-floor", "hill-farms"]
    for station in made.STATIONS:
        data = (root / f"demo_scenario/weather/{station.station}.csv").read_bytes()
        assert data == made.csv_text(station).encode()
        assert len(data) < 200_000 and data.startswith(b"# invented: true\n")


def test_the_demo_regions_have_no_findings_and_many_crops(demo: Prepared) -> None:
    db = valley(demo)
    assert not [f for f in demo.findings if f.rule == TOLD or f.rule.startswith("weather") or "weather/" in f.file]
    assert list(db.regions) == ["valley-floor", "hill-farms", "valley-autumn"] and set(db.weather) == set(db.regions)
    assert db.weather["valley-autumn"] is db.weather["valley-floor"] and not db.weather["hill-farms"].southern
    crops = {key.partition("/")[0] for key in db.regions["valley-floor"].plantings}
    timed = {name for name, crop in db.crops.items() if crop.development}
    assert timed - crops == {"cotton", "rice", "peanut"} and len(crops) >= 10
    for name, region in db.regions.items():
        weather = db.weather[name]
        assert (weather.unit, weather.invented, weather.first, weather.last) == (
            "C",
            True,
            date(2009, 1, 1),
            date(2026, 11, 25),
        )
        assert past_seasons(weather, region.season, region.start).years == tuple(range(2009, 2026))
        known = (region.first_day, weather.last) if name == "valley-autumn" else None
        assert season_so_far(weather, region) == known
        assert all(planted(db, key)[1] for key in region.plantings)


def test_the_demo_weather_is_that_of_a_temperate_valley(demo: Prepared) -> None:
    floor, hills = (valley(demo).weather[name] for name in ("valley-floor", "hill-farms"))
    month = floor.dates.astype("datetime64[M]").astype(int) % 12
    mean = (floor.lows + floor.highs) / 2
    assert -5 < mean[month == 0].mean() < 0 and 21 < mean[month == 6].mean() < 25
    assert floor.lows.min() > -35 and floor.highs.max() < 42
    colder = mean - (hills.lows + hills.highs) / 2
    assert 1.8 < colder.mean() < 2.2
    assert np.corrcoef(mean[:-1], mean[1:])[0, 1] > 0.9  # one day is much like the next


def test_no_field_can_be_found_from_the_demo_weather(root: Path) -> None:
    for path in (root / "demo_scenario/weather").glob("*.csv"):
        (latitude,) = re.findall(r"(?m)^# latitude: (.*)$", path.read_text("utf-8"))
        assert re.fullmatch(r"\d\d\.\d", latitude)
