"""From daily degree-days to the day of a stage: against a plain loop, and the cases that are easily got wrong."""

from __future__ import annotations

import doctest

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from earleaf.agronomy import development
from earleaf.agronomy.development import (
    NOT_REACHED,
    NOT_STATED,
    adjusted,
    calendar_days,
    from_rating,
    late_planting,
    restarted,
    stage_days,
)

NAN = float("nan")
TENTHS = st.integers(0, 400).map(lambda n: n / 10)


def plain(daily: list[float], start: int, need: float, counted_from: int) -> int:
    """One stage of one planting in one year, day by day, in tenths so that nothing is rounded."""
    if need <= 0:
        return start
    total = 0
    for day in range(start + counted_from, len(daily)):
        total += round(daily[day] * 10)
        if total >= round(need * 10):
            return day
    return NOT_REACHED


def test_the_examples_in_the_text_hold() -> None:
    result = doctest.testmod(development)
    assert (result.failed, result.attempted > 5) == (0, True)


@given(st.data(), st.sampled_from([0, 1]))
def test_the_same_days_as_a_plain_loop(data: st.DataObject, counted_from: int) -> None:
    days = data.draw(st.integers(1, 25))
    daily = data.draw(st.lists(st.lists(TENTHS, min_size=days, max_size=days), min_size=1, max_size=4))
    starts = data.draw(st.lists(st.integers(0, days - 1), min_size=1, max_size=6))
    need = data.draw(st.lists(st.integers(0, 4000).map(lambda n: n / 10), min_size=1, max_size=5))
    want = [[[plain(year, s, n, counted_from) for n in need] for year in daily] for s in starts]
    column = np.array(need)[:, None]
    assert stage_days(daily, starts, column, counted_from=counted_from)[..., 0].tolist() == want
    own = np.broadcast_to(column, (len(starts), len(need), 1))
    assert stage_days(daily, starts, own, counted_from=counted_from)[..., 0].tolist() == want
    each_year = np.repeat(np.array(starts)[:, None], len(daily), axis=1)
    assert stage_days(daily, each_year, column, counted_from=counted_from)[..., 0].tolist() == want


def test_shape_and_type() -> None:
    out = stage_days(np.ones((4, 30)), np.zeros(5, int), np.ones((7, 3)))
    assert out.shape == (5, 4, 7, 3) and out.dtype == np.int16
    assert stage_days(np.ones((4, 30)), np.zeros(0, int), np.ones((7, 3))).shape == (0, 4, 7, 3)


def test_a_total_met_exactly_is_met_that_day_whatever_the_machine_rounds() -> None:
    assert stage_days([[0.0] + [0.1] * 30], [0], [[0.3], [1.0], [2.3]])[0, 0, :, 0].tolist() == [3, 10, 23]


def test_the_day_of_planting_does_not_count_unless_asked() -> None:
    daily = [[100.0, 10.0, 10.0]]
    assert stage_days(daily, [0], [[10.0]])[0, 0, 0, 0] == 1
    assert stage_days(daily, [0], [[10.0]], counted_from=0)[0, 0, 0, 0] == 0


def test_a_count_from_the_first_of_january_needs_no_day_before_it() -> None:
    assert stage_days([[30.0, 30.0, 30.0]], [0], [[60.0]], counted_from=0).item() == 1


def test_cold_days_and_days_of_nothing() -> None:
    assert stage_days([[9.0, 0, 0, 0, 5]], [0], [[5.0], [0.0]])[0, 0, :, 0].tolist() == [4, 0]
    assert stage_days(np.zeros((2, 9)), [3], [[1.0]])[0, :, 0, 0].tolist() == [NOT_REACHED, NOT_REACHED]
    assert stage_days([[1.0, 1.0]], [1], [[1.0]]).item() == NOT_REACHED


def test_what_no_source_states_is_not_what_is_not_reached() -> None:
    out = stage_days(np.ones((1, 10)), [0], [[2, NAN, 50]])
    assert out[0, 0, 0].tolist() == [2, NOT_STATED, NOT_REACHED]


def test_a_leg_starts_where_the_one_before_ends_in_each_voice() -> None:
    flower = stage_days(calendar_days(2, 150), [10, 100], [[42, 60, 71]])
    pod = stage_days(calendar_days(2, 150), flower[:, :, 0], [[14.0, 14.0, 20.0], [0.0, NAN, 14.0]])
    assert pod[0, 1].tolist() == [[66, 84, 101], [52, NOT_STATED, 95]]
    assert flower[1, 0, 0].tolist() == [142, NOT_REACHED, NOT_REACHED]
    assert pod[1, 0].tolist() == [[NOT_REACHED] * 3, [142, NOT_STATED, NOT_REACHED]]


def test_a_stage_without_typical_date_gives_none_to_the_next_leg() -> None:
    start = np.array([[[5, NOT_STATED, 9]]])
    assert stage_days(np.ones((1, 30)), start, [[3, 3, 3]])[0, 0, 0].tolist() == [8, NOT_STATED, 12]


def test_a_start_may_differ_from_year_to_year_and_fail_in_one() -> None:
    assert stage_days(np.ones((3, 30)), [[2, NOT_REACHED, 7]], [[4.0]])[0, :, 0, 0].tolist() == [6, NOT_REACHED, 11]


def test_the_end_of_a_record_is_no_gap() -> None:
    daily = [[NAN, 5.0, 5.0, 5.0, NAN, NAN], [NAN, 1.0, 5.0, 5.0, 5.0, 5.0]]
    assert stage_days(daily, [0], [[15.0], [16.0]])[0, :, :, 0].tolist() == [[3, NOT_REACHED], [4, 4]]


@pytest.mark.parametrize("row", [[1.0, 1, NAN, 1, 1], [1.0, NAN, 1, 1, 1], [1.0] + [NAN] * 4])
def test_a_gap_after_the_first_counted_day_is_refused(row: list[float]) -> None:
    with pytest.raises(ValueError, match=r"no degree-days for day \d of season 1"):
        stage_days([[1.0] * 5, row], [0], [[2.0]])


@pytest.mark.parametrize(
    ("starts", "message"),
    [([5], "day 5 of the season, outside the weather of 5 days"), ([-3], "day -3"), ([0.5], "whole columns")],
)
def test_a_start_outside_the_weather_is_refused(starts: list[float], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        stage_days(np.ones((1, 5)), starts, [[2.0]])


def test_bad_arrays_are_refused() -> None:
    with pytest.raises(ValueError, match="never negative"):
        stage_days([[1.0, -1.0]], [0], [[2.0]])
    with pytest.raises(ValueError, match="needed: daily"):
        stage_days([1.0, 1.0], [0], [[2.0]])
    with pytest.raises(ValueError, match="needed: daily"):
        stage_days([[1.0]], [0], [2.0])


@given(st.lists(st.tuples(*[st.integers(0, 300)] * 3), min_size=2, max_size=6), st.integers(0, 5))
def test_after_a_seen_stage_the_spread_never_grows(rows: list[tuple[int, ...]], seen: int) -> None:
    need = np.cumsum([sorted(row) for row in rows], axis=0).astype(float)
    seen = min(seen, len(rows) - 1)
    after = restarted(need, [seen])[0]
    assert np.isnan(after[:seen]).all() and (after[seen] == 0).all()
    assert (np.diff(after[seen:], axis=1) >= 0).all() and (after[seen:] >= 0).all()
    spread, before = after[seen:, 2] - after[seen:, 0], need[seen:, 2] - need[seen:, 0]
    assert (spread <= before).all()
    assert (after[seen:, 1] == need[seen:, 1] - need[seen, 1]).all()


def test_restarts_of_the_models() -> None:
    cotton = [[478, 478, 478], [874, 874, 1087], [1623, 1623, 1623]]
    assert restarted(cotton, [0])[0, 1].tolist() == [396, 396, 609]
    assert restarted(cotton, [1])[0, 2].tolist() == [749, 749, 749]
    corn = [[920, 935, 960], [1200, 1400, 1552]]
    assert restarted(corn, [0])[0, 1].tolist() == [280, 465, 592]


def test_restart_of_one_planting_leaves_the_others_alone() -> None:
    need = np.array([[10.0, 11, 12], [20, NAN, 30]])
    out = restarted(need, [-1, 0, 1])
    np.testing.assert_array_equal(out[0], need)
    np.testing.assert_array_equal(out[1, 1], [10, NAN, 18])  # middle 25 - 11, half width 5 - 1
    np.testing.assert_array_equal(out[2], [[NAN] * 3, [0, 0, 0]])


def test_a_bracket_that_was_seen_gives_no_typical_difference() -> None:
    out = restarted([[10.0, NAN, 20.0], [30.0, 35.0, 50.0]], [0])[0, 1]
    np.testing.assert_array_equal(out, [20, NAN, 30])


def test_a_stage_that_may_come_before_the_seen_one_is_due_at_once() -> None:
    assert restarted([[1220, 1235, 1296], [1200, 1335, 1435]], [0])[0, 1].tolist() == [0, 100, 139]


def test_nonsense_requirements_are_refused() -> None:
    with pytest.raises(ValueError, match="in this order"):
        restarted([[3, 2, 4]], [0])
    with pytest.raises(ValueError, match="both low and high"):
        restarted([[3, 4, NAN]], [0])
    with pytest.raises(ValueError, match="one of the 1 stages"):
        restarted([[3, 4, 5]], [1])


def test_adjustments_by_planting_and_by_stage() -> None:
    need = [[100, 110, 120], [1000, 1100, 1200]]
    out = adjusted(need, factor=[[1.0], [1.1]], shift=[0, -50])
    assert out.shape == (2, 2, 3)
    np.testing.assert_allclose(out[1], [[110, 121, 132], [1050, 1160, 1270]])
    np.testing.assert_allclose(adjusted(need, shift=late_planting([0, 10, -5], [0, 6.8]))[:, 1, 0], [1000, 932, 1000])
    assert np.isnan(adjusted([[1, NAN, 3]], factor=2)[0, 0, 1])
    with pytest.raises(ValueError, match="less than nothing"):
        adjusted(need, shift=-500)


def test_a_rating_sets_the_last_stages() -> None:
    out = from_rating([2500, 2700], [0, 0.2, 0.4, 0.6, 1], 1300)
    assert out.shape == (2, 5, 3)
    np.testing.assert_allclose(out[0, :, 0], [1200, 1460, 1720, 1980, 2500])
    with pytest.raises(ValueError, match="between 0 and 1"):
        from_rating([2500], [1.2], 1300)


@pytest.mark.parametrize("seen", [-2, 2])
def test_a_seen_stage_that_is_none_is_refused(seen: int) -> None:
    """-1 stands for nothing seen yet."""
    need = [[100.0] * 3, [200.0] * 3]
    assert restarted(need, [-1])[0].tolist() == need
    with pytest.raises(ValueError, match="must be one of the 2 stages"):
        restarted(need, [seen])


def test_an_adjustment_may_leave_little_or_nothing_but_never_less() -> None:
    assert adjusted([[2.0] * 3], shift=-1.5).tolist() == [[[0.5] * 3]]
    assert adjusted([[2.0] * 3], shift=-2.0).tolist() == [[[0.0] * 3]]
    with pytest.raises(ValueError, match="less than nothing"):
        adjusted([[2.0] * 3], shift=-2.5)


def test_without_a_factor_or_a_shift_nothing_is_adjusted() -> None:
    assert adjusted([[1.0, 2.0, 3.0], [4.0, NAN, 6.0]])[0, 0].tolist() == [1.0, 2.0, 3.0]
    assert adjusted([[1.0, 2.0, 3.0]], factor=2.0).tolist() == [[[2.0, 4.0, 6.0]]]


def test_a_record_that_ends_after_the_first_counted_day_is_no_gap() -> None:
    days = stage_days([[1.0, 1.0, NAN, NAN]], [0], [[1.0] * 3, [2.0] * 3])
    assert days[0, 0].tolist() == [[1, 1, 1], [NOT_REACHED] * 3]


def test_the_first_of_several_gaps_is_named() -> None:
    daily = [[1.0, 1.0, NAN, 1.0, NAN, 1.0], [1.0, NAN, 1.0, 1.0, 1.0, 1.0]]
    with pytest.raises(ValueError, match="for day 2 of season 0"):
        stage_days(daily, [0], [[2.0] * 3])


def test_the_start_that_is_outside_is_named_not_one_that_is_not_stated() -> None:
    with pytest.raises(ValueError, match="starts on day 5 of the season"):
        stage_days(np.ones((1, 5)), [NOT_STATED, NOT_REACHED, 5], [[2.0] * 3])
