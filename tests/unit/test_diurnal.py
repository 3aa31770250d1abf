"""The temperature of the hours, and the cool spans: they agree with each other, and know the odd days."""

from __future__ import annotations

import doctest

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from earleaf.agronomy import diurnal
from earleaf.agronomy.diurnal import LAGS, CoolHours, Lags, cool_hours, sine_and_root, temperature_at, two_harmonics

LOW, HIGH = 10.0, 30.0
AIR_SETS = [name for name, lags in LAGS.items() if lags.place.startswith("air")]
hours = np.linspace(0.0, 24.0, 1441)


def test_the_worked_examples_of_the_docstrings() -> None:
    assert doctest.testmod(diurnal).failed == 0 and doctest.testmod(diurnal).attempted >= 3


def temperatures(lags: Lags, sunrise_h: float = 6.0, sunset_h: float = 18.0) -> np.ndarray:
    return np.asarray(temperature_at(hours, LOW, HIGH, sunrise_h=sunrise_h, sunset_h=sunset_h, lags=lags))


@pytest.mark.parametrize("name", LAGS)
def test_the_curve_stays_between_low_and_high_and_meets_both(name: str) -> None:
    curve, lags = temperatures(LAGS[name]), LAGS[name]
    assert curve.min() >= LOW and curve.max() <= HIGH
    assert hours[curve.argmax()] == pytest.approx(12.0 + lags.high_h, abs=0.01)
    assert hours[curve.argmin()] == pytest.approx(6.0 + lags.low_h, abs=0.02)


@pytest.mark.parametrize("name", LAGS)
def test_day_and_night_meet_at_sunset(name: str) -> None:
    before, at, after = np.asarray(
        temperature_at([18 - 1e-6, 18.0, 18 + 1e-6], LOW, HIGH, sunrise_h=6, sunset_h=18, lags=LAGS[name])
    )
    assert before == pytest.approx(at, abs=1e-4) and after == pytest.approx(at, abs=1e-4)


def test_midnight_is_one_hour_and_the_clock_may_be_moved() -> None:
    def at(hour_h: float, move_h: float) -> object:
        return temperature_at(hour_h + move_h, LOW, HIGH, sunrise_h=6 + move_h, sunset_h=18 + move_h)

    assert at(0, 0) == pytest.approx(at(24, 0)) == pytest.approx(at(0, 1.3)) == pytest.approx(at(0, 7))


def test_shapes_broadcast_and_single_numbers_give_a_float() -> None:
    assert isinstance(temperature_at(8, 10, 30, sunrise_h=6, sunset_h=18), float)
    assert isinstance(two_harmonics(8, 10, 30), float)
    assert isinstance(sine_and_root(8, 10, 30, t_low_next=9, sunrise_h=6, sunset_h=18), float)
    assert np.shape(temperature_at(hours[:, None], [1, 2, 3], 30, sunrise_h=6, sunset_h=18)) == (1441, 3)


def test_a_day_without_range_is_flat() -> None:
    assert temperature_at(hours, 20, 20, sunrise_h=6, sunset_h=18) == pytest.approx(np.full(1441, 20.0))


def test_missing_stays_missing() -> None:
    assert np.isnan(temperature_at(8, np.nan, 30, sunrise_h=6, sunset_h=18))
    assert np.isnan(temperature_at(8, 10, 30, sunrise_h=np.nan, sunset_h=np.nan))
    assert np.isnan(sine_and_root(8, 10, 30, t_low_next=np.nan, sunrise_h=6, sunset_h=18))
    assert np.isnan(sine_and_root(8, 10, 30, t_low_next=9, sunrise_h=11, sunset_h=14))
    assert np.isnan(two_harmonics(np.nan, 10, 30))


def test_a_day_shorter_than_its_lags_is_not_drawn() -> None:
    assert np.isnan(temperature_at(12, 10, 30, sunrise_h=11.5, sunset_h=12.5, lags=LAGS["north-carolina"]))
    late_low = Lags(0.45, 2.28, 1.83, "soil at 10 cm", "Parton & Logan 1981")
    assert np.isnan(temperature_at(12, 10, 30, sunrise_h=6, sunset_h=18, lags=late_low))


def test_swapped_readings_are_refused() -> None:
    for call in (
        lambda: temperature_at(8, 30, 10, sunrise_h=6, sunset_h=18),
        lambda: two_harmonics(8, 30, 10),
        lambda: sine_and_root(8, 10, 30, t_low_next=31, sunrise_h=6, sunset_h=18),
        lambda: cool_hours(30, 10, sunrise_h=6, sunset_h=18, share=0.5),
    ):
        with pytest.raises(ValueError, match="is above high"):
            call()


# Cool hours


def spans(cool: CoolHours) -> list[float | None]:
    """Morning and evening, begin and end; None for a missing one."""
    found = [cool.morning_from_h, cool.morning_to_h, cool.evening_from_h, cool.evening_to_h]
    return [None if np.isnan(x) else round(float(x), 3) for x in found]


def test_the_cooler_half_of_a_summer_day() -> None:
    """The middle of 10 and 30 is 20: the Denver curve passes it at 8.507, and is still at 23.8 by sunset."""
    assert spans(cool_hours(LOW, HIGH, sunrise_h=6, sunset_h=18, share=0.5)) == [6.0, 8.507, None, None]
    assert spans(cool_hours(LOW, HIGH, sunrise_h=6, sunset_h=18, limit=20)) == [6.0, 8.507, None, None]


def test_a_warm_evening_that_cools_before_sunset() -> None:
    found = spans(cool_hours(LOW, HIGH, sunrise_h=6, sunset_h=18, limit=26))
    assert found[0] == 6.0 and found[3] == 18.0 and found[1] is not None and found[2] is not None
    assert temperature_at([found[1], found[2]], LOW, HIGH, sunrise_h=6, sunset_h=18) == pytest.approx(26.0, abs=0.01)


def test_a_day_that_is_cool_or_warm_throughout() -> None:
    assert spans(cool_hours(LOW, HIGH, sunrise_h=6, sunset_h=18, limit=30)) == [6.0, 18.0, None, None]
    assert spans(cool_hours(LOW, HIGH, sunrise_h=6, sunset_h=18, share=1.0)) == [6.0, 18.0, None, None]
    assert spans(cool_hours(LOW, HIGH, sunrise_h=6, sunset_h=18, limit=9)) == [None] * 4
    assert spans(cool_hours(20, 20, sunrise_h=6, sunset_h=18, limit=20)) == [6.0, 18.0, None, None]
    assert spans(cool_hours(20, 20, sunrise_h=6, sunset_h=18, limit=19)) == [None] * 4


def test_polar_days_and_missing_readings_have_no_spans() -> None:
    assert spans(cool_hours(LOW, HIGH, sunrise_h=np.nan, sunset_h=np.nan, share=0.5)) == [None] * 4
    assert spans(cool_hours(np.nan, HIGH, sunrise_h=6, sunset_h=18, share=0.5)) == [None] * 4
    assert spans(cool_hours(np.nan, HIGH, sunrise_h=6, sunset_h=18, limit=40)) == [None] * 4


def test_many_days_at_once() -> None:
    cool = cool_hours([[10], [12]], [30, 28, np.nan], sunrise_h=6, sunset_h=18, share=0.5)
    assert cool.morning_to_h.shape == (2, 3) and np.isnan(cool.morning_to_h[:, 2]).all()


def test_one_bound_is_asked_for() -> None:
    for share, limit in ((None, None), (0.5, 20.0)):
        with pytest.raises(ValueError, match="either share or limit"):
            cool_hours(LOW, HIGH, sunrise_h=6, sunset_h=18, share=share, limit=limit)
    with pytest.raises(ValueError, match=r"between 0 and 1, got 1\.2"):
        cool_hours(LOW, HIGH, sunrise_h=6, sunset_h=18, share=1.2)


@settings(max_examples=500, deadline=None)
@given(
    name=st.sampled_from(AIR_SETS),
    half_day_h=st.floats(4.0, 10.0),
    share=st.floats(0.01, 0.99),
)
def test_the_solved_spans_are_those_of_the_curve(name: str, half_day_h: float, share: float) -> None:
    """Minute by minute, what the curve says is cool lies in a span, and nothing else does."""
    sunrise_h, sunset_h = 12.0 - half_day_h, 12.0 + half_day_h
    curve = temperatures(LAGS[name], sunrise_h, sunset_h)
    assume(np.isfinite(curve).all())
    cool = cool_hours(LOW, HIGH, sunrise_h=sunrise_h, sunset_h=sunset_h, share=share, lags=LAGS[name])
    inside = ((hours >= cool.morning_from_h) & (hours <= cool.morning_to_h)) | (
        (hours >= cool.evening_from_h) & (hours <= cool.evening_to_h)
    )
    by_day = (hours > sunrise_h + 0.02) & (hours < sunset_h - 0.02)
    jump = np.abs(hours - sunrise_h - LAGS[name].low_h) < 0.02  # the night ends a little above the low
    clearly = by_day & ~jump & (np.abs(curve - (LOW + share * (HIGH - LOW))) > 0.05)
    assert (inside == (curve <= LOW + share * (HIGH - LOW)))[clearly].all()


def test_a_share_under_nothing_is_refused_and_one_of_nothing_has_no_span() -> None:
    with pytest.raises(ValueError, match=r"between 0 and 1, got -0\.1"):
        cool_hours(LOW, HIGH, sunrise_h=6, sunset_h=18, share=-0.1)
    assert spans(cool_hours(LOW, HIGH, sunrise_h=6, sunset_h=18, share=0.0)) == [None] * 4
