"""A team's own plantings: a stage that was seen moves what comes after it, by the differences that sources print."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from math import ceil

import numpy as np
import pytest

from earleaf.agronomy.ensemble import PossibleSeasons
from earleaf.agronomy.seasons import NORTH
from earleaf.database.manual import ManualDatabase
from earleaf.database.maturity import Maturity
from earleaf.database.planting_list import OwnPlanting
from earleaf.database.plantings import planted
from earleaf.model.development import Need
from earleaf.model.planting import Planting, Sighting
from earleaf.planning import own_season
from earleaf.planning.calendars import crop_seasons, season_weather
from earleaf.planning.forecast import SeasonWeather, forecast
from earleaf.planning.own_model import seen_from
from earleaf.planning.own_season import OwnSeason, own_seasons, stages_now
from earleaf.planning.season import PlantingDates, Spread
from earleaf.site.build import Prepared

PLANTED = date(2027, 5, 1)
TODAY = date(2027, 9, 30)
YEARS = 9


@pytest.fixture(scope="module")
def db(demo: Prepared) -> ManualDatabase:
    assert isinstance(demo.db, ManualDatabase)
    return demo.db


def even(low: float, high: float) -> SeasonWeather:
    """Nine northern seasons that are all alike, in F."""
    shape = (YEARS, 365)
    past = tuple(range(2010, 2010 + YEARS))
    return SeasonWeather(PossibleSeasons(2027, past, np.full(shape, low), np.full(shape, high)), "F", NORTH)


def own(
    db: ManualDatabase,
    crop: str,
    *seen: tuple[str, date],
    day: date | None = PLANTED,
    maturity: Maturity | None = None,
    region: str = "valley-floor",
    lab: str = "larkmoor",
) -> OwnPlanting:
    """A planting of the demo valley, with what was seen in it."""
    found, model = planted(db, crop)
    assert found is not None and model is not None
    row = Planting(id="one", crop=crop, planted=day, station=region, lab=lab)
    saw = tuple(Sighting(id="one", stage=stage, day=when) for stage, when in seen)
    return OwnPlanting(row, found, model, db.regions[region], maturity, saw)


def dated(db: ManualDatabase, planting: OwnPlanting, weather: SeasonWeather) -> OwnSeason:
    blank = OwnSeason(planting, db.labs[planting.planting.lab], None, None, None, frozenset(), (), (), None)
    assert planting.model is not None
    return own_season._with_dates(db, blank, planting.model, weather)


def stages(season: OwnSeason) -> dict[str, Spread]:
    assert season.dates is not None
    return {stage.code: stage.spread for stage in season.dates.stages}


def middle(season: OwnSeason, code: str) -> date:
    found = stages(season)[code].p50
    assert found is not None
    return found


def test_without_news_the_dates_are_those_of_the_public_calendar(db: ManualDatabase) -> None:
    crop, model = planted(db, "corn")
    weather = season_weather(db.weather["valley-floor"], db.regions["valley-floor"])
    assert crop and model and weather
    public = forecast(db, crop, model, weather, [PLANTED])[0]
    (mine,) = own_seasons(db, [own(db, "corn")], TODAY)
    assert mine.dates is not None and mine.dates.stages == public.stages


def test_corn_counts_on_from_a_collar(db: ManualDatabase) -> None:
    """Purdue: 82 (F) a collar to V10; silk at 1400, V6 at 607, so 793 later. A day of 59 and 77 F has 18."""
    seen = date(2027, 6, 20)
    season = dated(db, own(db, "corn", ("V6", seen)), even(59, 77))
    assert middle(season, "V6") == seen
    assert middle(season, "V10") == seen + timedelta(days=ceil(4 * 82 / 18))
    assert middle(season, "R1") == seen + timedelta(days=ceil((1400 - 607) / 18))
    assert "V5" not in stages(season) and season.counts_from is not None and season.counts_from.stage == "V6"


def test_soybean_counts_on_from_first_flower(db: ManualDatabase) -> None:
    """North Dakota: pods about two weeks after first flower, full pod three, seeds four."""
    seen = date(2027, 7, 20)
    season = dated(db, own(db, "soybean", ("R1", seen)), even(60, 80))
    for stage, weeks in (("R3", 2), ("R4", 3), ("R5", 4)):
        assert middle(season, stage) == seen + timedelta(weeks=weeks)


def test_winter_wheat_counts_on_from_the_first_joint(db: ManualDatabase) -> None:
    """Kansas: borders of bands at 1000 (first joint), 1400 (boot) and 1600 (heading), base 32 F; 18 a day here."""
    seen = date(2027, 4, 20)
    season = dated(db, own(db, "wheat/winter-wheat-two-legs", ("6", seen), day=None), even(40, 60))
    assert middle(season, "10") == seen + timedelta(days=ceil(400 / 18))
    assert middle(season, "10.1") == seen + timedelta(days=ceil(600 / 18))


def test_a_small_grain_past_two_leaves_keeps_its_high_cap(db: ManualDatabase) -> None:
    """North Dakota counts to 95 F from Haun 2 (395) on. Haun 3 is at 538, Haun 5 at 824: 286 later. 50 and 90 F give 38
    a day, and would give 28 under the cap of 70 F."""
    seen = date(2027, 5, 10)
    season = dated(db, own(db, "wheat/spring-wheat-haun", ("2", seen), day=date(2027, 4, 5)), even(50, 90))
    assert middle(season, "5") == seen + timedelta(days=ceil(286 / 38))


def test_a_small_grain_before_two_leaves_changes_its_cap_on_the_way(db: ManualDatabase) -> None:
    """Haun 1 is at 252. 143 are left to the change at 395: six days of 28 make 168, then 38 a day. Haun 3 needs 286."""
    seen = date(2027, 4, 25)
    season = dated(db, own(db, "wheat/spring-wheat-haun", ("1", seen), day=date(2027, 4, 5)), even(50, 90))
    assert middle(season, "2") == seen + timedelta(days=6 + ceil((286 - 168) / 38))


def test_a_late_planting_stays_late_after_a_sighting(db: ManualDatabase) -> None:
    """Nielsen and others 2002: planted on 31 May, black layer needs 204 less, whenever a stage is seen."""
    seen = date(2027, 7, 1)
    season = dated(db, own(db, "corn", ("V6", seen), day=date(2027, 5, 31)), even(68, 86))
    assert middle(season, "R6") == seen + timedelta(days=ceil((2700 - 204 - 607) / 27))


def test_a_rating_dates_silk_and_black_layer(db: ManualDatabase) -> None:
    """Kansas State: silk comes 1300 before black layer. Rated 2600 (F): silk at 1300. A day of 68 and 86 F has 27."""
    season = dated(db, own(db, "corn", maturity=Maturity(rating=2600)), even(68, 86))
    assert middle(season, "R1") == PLANTED + timedelta(days=ceil(1300 / 27))
    assert middle(season, "R6") == PLANTED + timedelta(days=ceil(2600 / 27))
    assert middle(season, "V6") == PLANTED + timedelta(days=ceil(607 / 27))


@pytest.mark.parametrize("rating", [2100, 2400, 2700, 2900])
def test_silk_of_a_rated_hybrid_stays_where_sources_have_it(db: ManualDatabase, rating: int) -> None:
    """Wisconsin and the High Plains table have silk at 1200 to 1552 (F) from planting, in the earliest and the latest
    hybrids. Taking 1300 off an early rating would give 800, the time of eight collars."""
    season = dated(db, own(db, "corn", maturity=Maturity(rating=rating)), even(68, 86))
    silk = (middle(season, "R1") - PLANTED).days
    assert ceil(1200 / 27) <= silk <= ceil(1552 / 27)
    dates = [middle(season, code) for code in ("V6", "VT", "R1", "R2", "R3", "R4", "R5", "R6")]
    assert dates == sorted(dates)


def test_a_maturity_group_takes_its_own_figure(db: ManualDatabase) -> None:
    """High Plains table, from coming up: half bloom of early sorghum 1466.8 (F), of late 1589.2."""
    days = {}
    for group, total in (("early", 1466.8), ("late", 1589.2)):
        maturity = Maturity(group=group)  # type: ignore[arg-type]
        season = dated(db, own(db, "sorghum", ("0", date(2027, 6, 1)), maturity=maturity), even(68, 86))
        days[group] = middle(season, "6")
        assert days[group] == date(2027, 6, 1) + timedelta(days=ceil(total / 27))
    assert days["early"] < days["late"]


def models(db: ManualDatabase) -> list[str]:
    return [f"{c.crop}/{m.model}" for c in db.crops.values() for m in c.development]


def pairs(db: ManualDatabase, late_by: int) -> Iterator[tuple[str, date, Spread, Spread]]:
    """For every model and every dated stage seen so many days after its middle date: all that counts on from it.

    A name, the day of the sighting, and the spread of a later stage before and after it.
    """
    weather = season_weather(db.weather["valley-floor"], db.regions["valley-floor"])
    assert weather is not None
    for key in [f"{c.crop}/{m.model}" for c in db.crops.values() for m in c.development]:
        before = stages(dated(db, own(db, key), weather))
        for stage, spread in before.items():
            if spread.p50 is None or not date(2027, 1, 10) < spread.p50 < date(2027, 12, 20):
                continue
            seen = spread.p50 + timedelta(days=late_by)
            season = dated(db, own(db, key, (stage, seen), day=min(PLANTED, seen)), weather)
            if season.counts_from is None or season.unmoved:
                continue
            for code, after in list(stages(season).items())[1:]:
                old = before[code]
                if None not in (after.p10, after.p50, after.p90, old.p10, old.p50, old.p90):
                    yield f"{key}: {code} after {stage}", seen, old, after


def width(spread: Spread) -> int:
    assert spread.p10 and spread.p90
    return (spread.p90 - spread.p10).days


def test_a_stage_seen_on_its_middle_date_never_makes_a_later_one_less_sure(db: ManualDatabase) -> None:
    found = list(pairs(db, 0))
    assert len(found) > 200
    assert [(name, width(old), width(new)) for name, _, old, new in found if width(new) > width(old)] == []
    assert sum(width(new) < width(old) for _, _, old, new in found) > len(found) * 0.8


@pytest.mark.parametrize("late_by", [-7, 7])
def test_a_stage_seen_early_or_late_moves_what_comes_after_the_same_way(db: ManualDatabase, late_by: int) -> None:
    found = list(pairs(db, late_by))
    assert len(found) > 200
    for name, seen, old, new in found:
        assert old.p50 and new.p50 and new.p10 and new.p10 >= seen, name
        moved = (new.p50 - old.p50).days
        assert moved * late_by > 0 or abs(moved) <= 1, (name, moved)


def windows(season: OwnSeason) -> dict[str, object]:
    assert season.dates is not None
    return {w.protocol: w for w in season.dates.windows}


def test_windows_before_the_seen_stage_are_left_out_and_the_one_round_it_is_open(db: ManualDatabase) -> None:
    seen = date(2027, 6, 20)
    season = dated(db, own(db, "corn", ("V8", seen)), even(59, 77))
    assert set(windows(season)) == {"before-tassel", "tassel-to-silk", "stalk-nitrate"}
    assert season.dates is not None
    first = season.dates.windows[0]
    assert first.opens is not None and (first.opens.p10, first.opens.p50, first.opens.p90) == (seen, seen, seen)


def test_a_stage_without_a_count_says_so_and_leaves_the_dates(db: ManualDatabase) -> None:
    """No source prints a count for V19: what comes later still counts from planting, but never before that day."""
    seen = date(2027, 9, 1)
    season = dated(db, own(db, "corn", ("V19", seen)), even(59, 77))
    assert season.idle is not None and season.idle.stage == "V19" and season.counts_from is None
    assert all(s.p50 is None or s.p50 >= seen for s in stages(season).values())
    assert "V18" not in stages(season) and "R1" in stages(season)


def test_what_hangs_on_an_earlier_stage_is_told_to_be_unmoved(db: ManualDatabase) -> None:
    """Ground cover of sugar beet counts from the seedling; a leaf count does not move it."""
    season = dated(db, own(db, "sugar-beet", ("4 leaves", date(2027, 6, 1))), even(50, 75))
    assert season.unmoved == {"leaf", "petiole-nitrate"} and stages(season)["row closed"].p10


def test_dry_bean_waits_for_the_day_it_comes_up(db: ManualDatabase) -> None:
    waiting = dated(db, own(db, "dry-bean"), even(60, 80))
    assert waiting.waits_for == ("VE",) and not stages(waiting)
    up = dated(db, own(db, "dry-bean", ("VE", date(2027, 5, 12))), even(60, 80))
    assert up.waits_for == () and stages(up)["R5"].p50


def test_a_cut_starts_the_next_growth(db: ManualDatabase) -> None:
    """Minnesota (Sharratt and others 1989): 425 degree-days (C, base 7.5) from the first cut to one tenth bloom."""
    cut = date(2027, 6, 2)
    season = dated(db, own(db, "alfalfa", ("first-cut", cut), day=None), even(59, 77))  # 15 and 25 C: 12.5 a day
    assert middle(season, "5") == cut + timedelta(days=ceil(425 / 12.5))
    assert season.counts_from is not None and season.counts_from.stage == "first-cut"
    assert season.waits_for == ("second-cut",)
    assert dated(db, own(db, "alfalfa", day=None), even(59, 77)).waits_for == ("first-cut", "second-cut")


def test_a_bud_after_a_cut_does_not_run_the_spring_clock(db: ManualDatabase) -> None:
    """No count from bud to bloom was found for later growths."""
    seen = (("first-cut", date(2027, 6, 2)), ("4", date(2027, 6, 20)))
    season = dated(db, own(db, "alfalfa", *seen, day=None), even(59, 77))
    assert season.idle is not None and season.idle.stage == "4"
    assert middle(season, "5") == date(2027, 6, 2) + timedelta(days=ceil(425 / 12.5))


def test_the_stage_of_a_day(db: ManualDatabase) -> None:
    """Purdue, 18 degree-days a day: coming up on day 7 at the typical 115; on day 30, 540 make V5 at 115 + 5 x 82."""
    season = dated(db, own(db, "corn"), even(59, 77))
    assert isinstance(season.dates, PlantingDates)
    assert stages_now(season.dates, PLANTED) == (None, None)
    low, high = stages_now(season.dates, PLANTED + timedelta(days=30))
    assert low is not None and high is not None and (low.code, high.code) == ("V5", "V5")


def test_a_window_asks_the_lab_of_the_planting_only(db: ManualDatabase) -> None:
    seasons = own_seasons(db, [own(db, "corn", lab="larkmoor"), own(db, "corn", lab="pebblecross")], date(2027, 1, 2))
    for season, lab in zip(seasons, ("larkmoor", "pebblecross"), strict=True):
        assert {w.whole.lab.lab for w in season.windows} == {lab}
    parts = [{w.dates.protocol: w.dates.part for w in s.windows}["tassel-to-silk"] for s in seasons]
    assert parts == ["ear-leaf", "leaf-below-opposite-ear"]


def test_no_visit_is_proposed_for_a_day_that_is_past(db: ManualDatabase) -> None:
    today = date(2027, 6, 25)
    (season,) = own_seasons(db, [own(db, "corn")], today)
    for window in season.windows:
        assert all(visit.day >= today for visit in window.now.plan.visits)
    young = next(w for w in season.windows if w.dates.protocol == "young-plants")
    assert young.over and young.whole.best is not None
    assert season.next is not None and season.next.dates.protocol != "young-plants"


def test_a_crop_without_a_timing_stays_in_the_list(db: ManualDatabase) -> None:
    crop = next(c for c in db.crops.values() if not c.development)
    blank = replace(own(db, "corn"), crop=crop, model=None)
    (season,) = own_seasons(db, [blank], TODAY)
    assert season.dates is None and season.windows == () and season.next is None


def test_the_seen_stage_itself_needs_nothing_more(db: ManualDatabase) -> None:
    crop, model = planted(db, "corn")
    assert crop and model
    on = seen_from(db, crop, model, "V6")
    assert on is not None
    for leg in on.legs:
        first = leg.needs[0]
        assert leg.start == "V6" and (first.low, first.typical, first.high) == (0.0, 0.0, 0.0)


def test_a_small_grain_seen_at_the_very_change_of_its_cap_has_the_high_one(db: ManualDatabase) -> None:
    """North Dakota: the cap of 70 F holds to a total of 395, which is Haun 2: from there on it is 95 F."""
    crop, model = planted(db, "wheat/spring-wheat-haun")
    assert crop and model
    codes = [need.stage for leg in model.legs for need in leg.needs if isinstance(need, Need)]
    for code in ("1", "2", "5"):
        assert code in codes
        on = seen_from(db, crop, model, code)
        assert on is not None
        (leg,) = on.legs
        assert (leg.early_upper, leg.early_until) == ((70, 395 - 252) if code == "1" else (None, None))


@pytest.mark.parametrize(
    ("figures", "left"),
    [((240, 252, 300), 395 - 252), ((240, None, 260), 395 - 250), ((390, 394.5, 395), 0.5), ((395, 395, 395), None)],
    ids=["typical", "half-way in a bracket", "half a degree-day", "none"],
)
def test_what_is_left_to_the_change_of_the_cap_is_counted_from_the_middle(
    db: ManualDatabase, figures: tuple[float | None, ...], left: float | None
) -> None:
    """North Dakota: the cap changes at a total of 395. Seen at a stage of these figures, so much of it is left."""
    crop, model = planted(db, "wheat/spring-wheat-haun")
    assert crop and model
    (leg,) = model.legs
    low, typical, high = figures
    needs = [
        need.model_copy(update={"low": low, "typical": typical, "high": high})
        if isinstance(need, Need) and need.stage == "1"
        else need
        for need in leg.needs
        if isinstance(need, Need) and need.stage in ("1", "2")
    ]
    other = model.model_copy(update={"legs": (leg.model_copy(update={"needs": tuple(needs)}),)})
    on = seen_from(db, crop, other, "1")
    assert on is not None and on.legs[0].early_until == left
    assert (on.legs[0].early_upper is None) == (left is None)


def test_a_season_says_until_when_its_weather_is_known(db: ManualDatabase) -> None:
    """The record of the valley ends on 25 November 2026, inside the season from July, and before that of 2027."""
    until = {season.region.region: season.observed_until for season in crop_seasons(db, db.crops["wheat"])}
    assert until["valley-autumn"] == date(2026, 11, 25) and until["valley-floor"] is None


def test_a_lab_changes_the_first_bag_only(db: ManualDatabase) -> None:
    """Wheat before jointing fills two bags: each keeps its own part."""
    crop, lab = db.crops["wheat"], db.labs["larkmoor"]
    for ours, theirs in zip(own_season._for_lab(db, crop, lab).protocols, crop.protocols, strict=True):
        assert [bag.part for bag in ours.take] == [bag.part for bag in theirs.take]
    corn = own_season._for_lab(db, db.crops["corn"], db.labs["pebblecross"])
    silk = next(p for p in corn.protocols if p.protocol == "tassel-to-silk")
    assert silk.take[0].part == "leaf-below-opposite-ear"
