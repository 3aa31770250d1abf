"""What many possible seasons and three voices say of one date."""

from __future__ import annotations

import doctest

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from earleaf.agronomy import ensemble
from earleaf.agronomy.development import NOT_REACHED, NOT_STATED, Days, restarted, stage_days
from earleaf.agronomy.ensemble import combine, possible_seasons
from earleaf.agronomy.seasons import NORTH, SOUTH, Seasons, columns_of, cut_seasons


def past(first: str = "2000-01-01", last: str = "2009-12-31", start: tuple[int, int] = NORTH) -> Seasons:
    """A record whose low is the calendar year, its high 50 more."""
    dates = np.arange(np.datetime64(first), np.datetime64(last) + 1)
    year = dates.astype("datetime64[Y]").astype(float) + 1970
    return cut_seasons(dates, year, year + 50, start)


def one_stage(values: list[list[int]]) -> Days:
    """Days (1, years, 1, 3) from low, typical, high of each year."""
    return np.array(values, dtype=np.int16)[None, :, None, :]


def told(days: Days) -> tuple[int, int, int]:
    out = combine(days)
    return int(out.p10[0, 0]), int(out.p50[0, 0]), int(out.p90[0, 0])


def test_the_examples_in_the_text_hold() -> None:
    result = doctest.testmod(ensemble, extraglobs={"np": np})
    assert (result.failed, result.attempted >= 3) == (0, True)


def test_this_season_so_far_then_each_past_season() -> None:
    out = possible_seasons(past(), 2010, [1.0, 2.0], [11.0, 12.0], days=100)
    assert out.t_min.shape == out.t_max.shape == (10, 100)
    assert out.t_min[3, :4].tolist() == [1, 2, 2003, 2003] and out.t_max[3, 1:3].tolist() == [12, 2053]
    assert (out.year, out.years) == (2010, tuple(range(2000, 2010)))


def test_a_season_is_never_its_own_rest() -> None:
    assert possible_seasons(past(), 2004).years == (2000, 2001, 2002, 2003, 2005, 2006, 2007, 2008, 2009)


def test_the_days_are_those_of_this_season() -> None:
    assert possible_seasons(past(), 2012).t_min.shape == (10, 366)
    assert possible_seasons(past(), 2013).t_min.shape == (10, 365)
    assert not np.isnan(possible_seasons(past(), 2012).t_min).any()


def test_a_southern_season_takes_its_rest_from_both_calendar_years() -> None:
    out = possible_seasons(past("2000-07-01", "2006-06-30", SOUTH), 2010)
    new_year = int(columns_of("2011-01-01", 2010, SOUTH))
    assert out.t_min[0, new_year - 1 : new_year + 1].tolist() == [2000, 2001]


def test_what_is_observed_is_not_overruled_and_the_past_not_changed() -> None:
    record = past()
    out = possible_seasons(record, 2010, np.zeros(365), np.ones(365))
    assert (out.t_min == 0).all() and np.nanmin(record.t_min) == 2000


def test_gaps_and_odd_lengths_are_refused() -> None:
    holed = past()
    holed.t_min[4, 200] = np.nan
    assert possible_seasons(holed, 2010, days=200).t_min.shape == (10, 200)
    with pytest.raises(ValueError, match="seasons that start in 2004"):
        possible_seasons(holed, 2010)
    assert len(possible_seasons(holed.without({2004}), 2010).years) == 9
    with pytest.raises(ValueError, match="no reading for day 1 of this season"):
        possible_seasons(past(), 2010, [1.0, np.nan], [2.0, 3.0])
    with pytest.raises(ValueError, match="one low and one high"):
        possible_seasons(past(), 2010, [1.0], [2.0, 3.0])
    with pytest.raises(ValueError, match="one low and one high"):
        possible_seasons(past(), 2010, np.ones(366), np.ones(366))
    with pytest.raises(ValueError, match="365 days, not 366"):
        possible_seasons(past(), 2010, days=366)
    with pytest.raises(ValueError, match="no past season"):
        possible_seasons(past("2010-01-01", "2010-12-31"), 2010)


@pytest.mark.parametrize(
    ("years", "places"),
    [(1, (1, 1, 1)), (9, (1, 5, 9)), (19, (2, 10, 18)), (29, (3, 15, 27)), (30, (3, 15, 28)), (36, (4, 18, 33))],
)
def test_the_places_of_weibull(years: int, places: tuple[int, int, int]) -> None:
    """Place (N + 1) p of the years in order, to the nearest; 30 years: 3.1, 15.5 and 27.9."""
    assert told(one_stage([[n, n, n] for n in range(1, years + 1)])) == places


@given(st.lists(st.integers(0, 300), min_size=1, max_size=40))
def test_a_voice_that_says_the_same_changes_nothing(values: list[int]) -> None:
    three = told(one_stage([[v, v, v] for v in values]))
    two = combine(one_stage([[v, NOT_STATED, v] for v in values]))
    assert three[::2] == (two.p10.item(), two.p90.item())
    order = sorted(values)
    nearest = [(len(values) + 1) * p - 1 for p in (0.1, 0.9)]
    low, high = (order[int(np.clip(round(place, 9), 0, len(values) - 1) + 0.5)] for place in nearest)
    assert three[0] <= low and three[2] >= high


@given(st.lists(st.lists(st.integers(-1, 300), min_size=3, max_size=3), min_size=1, max_size=30))
def test_all_three_are_in_order_and_real_cases(values: list[list[int]]) -> None:
    p10, p50, p90 = (999 if day == NOT_REACHED else day for day in told(one_stage(values)))
    assert p10 <= p50 <= p90
    assert {p10, p50, p90} <= {999 if day == NOT_REACHED else day for row in values for day in row}


def test_low_and_high_widen_the_window() -> None:
    years = range(100, 109)
    assert told(one_stage([[y, y, y] for y in years])) == (100, 104, 108)
    p10, p50, p90 = told(one_stage([[y - 10, y, y + 20] for y in years]))
    assert (p10, p50, p90) == (91, 104, 127)  # of 27 cases the middle of the first, fifth and ninth three


def test_a_bracket_gives_a_window_and_no_date() -> None:
    p10, p50, p90 = told(one_stage([[y, NOT_STATED, y + 30] for y in range(100, 120)]))
    assert p50 == NOT_STATED and 100 <= p10 < 105 and 145 <= p90 < 150


def test_a_stage_that_is_past_says_nothing() -> None:
    out = combine(one_stage([[NOT_STATED] * 3] * 5))
    assert (out.p10.item(), out.p50.item(), out.p90.item()) == (NOT_STATED,) * 3
    assert out.years_not_reached.tolist() == [[[0, 0, 0]]]


def test_years_in_which_a_stage_is_not_reached_are_told() -> None:
    rows = [[100, 110, 120]] * 17 + [[100, 110, NOT_REACHED]] * 2 + [[100, NOT_REACHED, NOT_REACHED]]
    out = combine(one_stage(rows))
    assert out.years_not_reached.tolist() == [[[0, 1, 3]]] and out.years == 20
    assert (out.p10.item(), out.p50.item(), out.p90.item()) == (100, 110, 120)  # 4 cases of 60
    rows = [[100, 110, 120]] * 14 + [[100, 110, NOT_REACHED]] * 6
    assert told(one_stage(rows)) == (100, 110, NOT_REACHED)  # 6 cases of 60
    assert told(one_stage([[NOT_REACHED] * 3] * 20)) == (NOT_REACHED,) * 3


def test_stages_and_plantings_do_not_mix() -> None:
    days = np.full((2, 5, 3, 3), 50, dtype=np.int16)
    days[1, :, 2] = 90
    days[0, :, 1, 1] = NOT_STATED
    out = combine(days)
    assert out.p50.tolist() == [[50, NOT_STATED, 50], [50, 50, 90]] and out.p90.tolist()[1] == [50, 50, 90]


@pytest.mark.parametrize("years", [10, 20, 30, 37])
def test_eight_further_seasons_out_of_ten_fall_between(years: int) -> None:
    """Made-up seasons, normal with 8 days: the interval keeps its word for each length of record.

    Whole days count as inside at both ends, so a little over 80 % is right. The standard error is 0.6 %.
    """
    random = np.random.default_rng(years)
    drawn = np.rint(random.normal(150, 8, (4000, years + 1))).astype(np.int16)
    out = combine(np.repeat(drawn[:, :-1, None, None], 3, axis=-1))
    further = drawn[:, -1:]
    assert 0.78 < ((further >= out.p10) & (further <= out.p90)).mean() < 0.87


def test_seeing_a_stage_narrows_the_window_of_the_next() -> None:
    random = np.random.default_rng(1)
    daily = random.uniform(5, 25, (30, 200))
    need = np.array([[592.0, 607, 624], [920, 935, 960], [1200, 1400, 1552]])
    before = combine(stage_days(daily, [10], need))
    seen = int(before.p50[0, 1])
    daily[:, :seen] = daily[0, :seen]
    after = combine(stage_days(daily, [seen], restarted(need, [1])))
    assert after.p10[0, 0] == NOT_STATED and after.p10[0, 1] == after.p90[0, 1] == seen
    assert after.p90[0, 2] - after.p10[0, 2] < before.p90[0, 2] - before.p10[0, 2]


def test_other_shapes_are_refused() -> None:
    with pytest.raises(ValueError, match="needed: days"):
        combine(np.zeros((1, 2, 3), dtype=np.int16))
    with pytest.raises(ValueError, match="needed: days"):
        combine(np.zeros((1, 0, 3, 3), dtype=np.int16))
