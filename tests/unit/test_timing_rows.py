"""Timing models: sums of points, figures in another unit, windows that are reached, the shipped models as a whole."""

from __future__ import annotations

from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from earleaf.agronomy.degree_days import METHODS, degree_days, small_grain_degree_days
from earleaf.database.load import Database
from earleaf.database.rules.timing import clock_faults
from earleaf.database.timing import crop_points, figures, in_fahrenheit, mismatch, named_rows, reached, start_kind
from earleaf.model.crop import Crop, Window
from earleaf.model.development import Development, Leg, Method, Need, Pace, Point, bounds, points
from earleaf.model.evidence import TimingRow
from earleaf.model.source import NOT_PUBLICATIONS

CODES = ("VE", "V1", "V2", "V3", "VT", "R1")
ROWS = ("corn.uni.t1",)
HELD_BY_HELPERS = {"days", "ndawn-small-grain"}
"""Methods that are no way of counting one day: days themselves, and a cap that changes with the running total."""


def leg(*needs: Need | Pace, **clock: object) -> Leg:
    base: dict[str, object] = {"leg": "a", "from": "planting", "method": "dd60", "lower": 60, "unit": "F"}
    return Leg.model_validate({**base, **clock, "needs": [n.model_dump(by_alias=True) for n in needs]})


LIMITS = st.sampled_from([30, 31.9, 32, 34, 34.5, 40, 41, 45, 50, 50.5, 56, 60, 60.1, 85, 86, 86.4, 90, 93, 95])
IN_CELSIUS = st.sampled_from([-1, 0, 1, 4.4, 5, 10, 10.1, 13.3, 15.6, 16, 30, 30.3, 34, 35])


@pytest.mark.parametrize("method", sorted(set(get_args(Method)) - {"days"}))
@given(
    limits=st.tuples(LIMITS, st.none() | LIMITS, st.just("F"))
    | st.tuples(IN_CELSIUS, st.none() | IN_CELSIUS, st.sampled_from("CF"))
)
def test_what_the_check_lets_pass_can_be_counted(method: str, limits: tuple[float, float | None, str]) -> None:
    """No leg that passes the check makes the arithmetic refuse. Both ask one function; here each is asked its own way.

    Printed examples hold the methods, with their limits, in tests/published/test_degree_days_published.py.
    """
    lower, upper, unit = limits
    early = {"early_upper": 70, "early_until": 395} if method == "ndawn-small-grain" else {}
    asked = leg(need("VE", low=100, typical=110, high=120), method=method, lower=lower, upper=upper, unit=unit, **early)
    if list(clock_faults(asked)):
        return
    if early:
        small_grain_degree_days([50, 50], [80, 80], switch_total=395, lower=lower)
    else:
        degree_days(50, 80, method=method, lower=lower, upper=upper)


@pytest.mark.parametrize(
    ("method", "lower", "upper", "unit"),
    [
        ("dd60", 60, 90, "F"),
        ("dd56-peanut", 56, 95, "F"),
        ("alfalfa-base41", 41, 86, "F"),
        ("modified-86-50", 10, 30, "F"),
    ],
)
def test_limits_that_a_method_does_not_take_are_told(method: str, lower: float, upper: float, unit: str) -> None:
    (fault,) = clock_faults(
        leg(need("VE", low=100, typical=110, high=120), method=method, lower=lower, upper=upper, unit=unit)
    )
    assert fault[0] == ("upper" if METHODS[method].upper == "none" else "lower") and method in fault[1] and fault[2]


def need(stage: str | None, **values: object) -> Need:
    return Need.model_validate({"stage": stage, "rows": ROWS, **values})


def pace(first: str, last: str, **values: object) -> Pace:
    return Pace.model_validate({"from": first, "to": last, "rows": ROWS, **values})


def row(**values: object) -> TimingRow:
    base = {"row": "corn.uni.t1", "source": "uni", "crop": "corn", "to_stage": "tassel", "amount_unit": "gdd-f"}
    return TimingRow.model_validate({**base, **values})


def sums(made: tuple[Point, ...]) -> list[tuple[str, float, float | None, float]]:
    return [(p.name, p.low, p.typical, p.high) for p in made]


def test_what_is_left_out_is_the_typical_figure() -> None:
    assert bounds(need("V3", typical=311)) == (311, 311, 311)
    assert bounds(need("V3", low=300, typical=311)) == (300, 311, 311)
    assert bounds(need("R1", low=823, high=1190)) == (823, None, 1190)
    assert bounds(need("R1", low=823)) is None


def test_a_pace_adds_up_from_the_point_before_it() -> None:
    made = points(leg(need("VE", low=100, typical=115, high=120), pace("V1", "V3", typical=82, high=84)), CODES)
    assert sums(made) == [
        ("VE", 100, 115, 120),
        ("V1", 182, 197, 204),
        ("V2", 264, 279, 288),
        ("V3", 346, 361, 372),
    ]
    assert [p.entry for p in made] == [0, 1, 1, 1]


def test_a_need_may_count_on_from_an_earlier_point() -> None:
    up = need(None, at="coming up", low=245, typical=270, high=349)
    made = points(leg(up, need("V1", typical=100, after="coming up"), need("V2", low=1, high=9, after="V1")), CODES)
    assert sums(made) == [("coming up", 245, 270, 349), ("V1", 345, 370, 449), ("V2", 346, None, 458)]


def test_entries_that_name_what_is_not_there_make_no_points() -> None:
    made = points(leg(pace("V1", "V3", typical=82), need("VE", typical=1), pace("V9", "V3", typical=2)), CODES)
    assert sums(made) == [("VE", 1, 1, 1)]
    assert points(leg(need("VT", typical=5, after="V3")), CODES) == ()


@pytest.mark.parametrize(
    ("start", "kind"),
    [
        ("planting", "event"),
        ("first-cut", "event"),
        ("R1", "stage"),
        ("01-01", "day"),
        ("12-31", "day"),
        ("13-01", None),
        ("00-10", None),
        ("1-1", None),
        ("harvest", None),
        ("a b", None),
    ],
)
def test_what_a_leg_starts_at(start: str, kind: str | None) -> None:
    assert start_kind(leg(need("VE", typical=1), **{"from": start}), CODES) == kind


def test_figures_are_told_in_the_unit_of_the_leg() -> None:
    """150 degree-days C above 0 C are 270 F above 32 F (factor 9/5, same base)."""
    fahrenheit = leg(need("VE", typical=1), method="simple-avg-method1", lower=32)
    celsius = row(method="simple-avg-method1", lower=0, unit="C", amount=150, amount_unit="gdd-c")
    assert mismatch(celsius, fahrenheit) == ""
    assert figures(celsius, fahrenheit) == (270,)
    assert figures(row(method="dd60", lower=60, unit="F", low=300, high=350), leg(need("VE", typical=1))) == (300, 350)
    assert in_fahrenheit(6.7, "C") == pytest.approx(44.06)


@pytest.mark.parametrize(
    ("values", "clock", "says"),
    [
        ({"amount_unit": "days", "amount": 5}, {}, "the leg sums degree-days"),
        ({"lower": 60, "unit": "F"}, {"method": "days", "unit": "days", "lower": None}, "the leg counts days"),
        ({"lower": 50, "unit": "F"}, {}, "the leg counts from 60 F, the row from 50 F"),
        ({"lower": 9, "unit": "C", "amount_unit": "gdd-c"}, {}, "the row from 9 C"),
        ({"lower": 60, "unit": "F"}, {}, ""),
    ],
)
def test_another_unit_or_base_is_told(values: dict[str, object], clock: dict[str, object], says: str) -> None:
    said = mismatch(row(**values), leg(need("VE", typical=1), **clock))
    assert said.startswith(says) if not said else says in said


def models(database: Database) -> list[tuple[Crop, Development]]:
    return [(crop, model) for crop in database.crops.values() for model in crop.development]


def total(database: Database, model_id: str, name: str) -> tuple[float, float | None, float]:
    crop, model = next((c, m) for c, m in models(database) if m.model == model_id)
    found = [p for each in model.legs for p in crop_points(database, crop, each) if p.name == name]
    return found[0].low, found[0].typical, found[0].high


def test_twelve_models_are_usable_and_four_partial(database: Database) -> None:
    status = [model.status for _, model in models(database)]
    assert (status.count("usable"), status.count("partial")) == (12, 4)
    assert {model.kind for _, model in models(database) if model.kind} == {
        "winter wheat",
        "spring wheat",
        "spring barley",
        "oats",
        "spring canola",
    }


TOTALS = [
    ("corn-collar-8650", "V6", (592, 607, 624), "Purdue: 100-120 to come up, 82 a collar; Iowa State PMR 1009: 84"),
    ("corn-collar-8650", "V10", (920, 935, 960), "the same"),
    ("corn-collar-8650", "V18", (1320, 1335, 1408), "50 a collar from V10 on; Iowa State PMR 1009: 56"),
    (
        "winter-wheat-two-legs",
        "first tillers",
        (785, 810, 889),
        "myFields: 270 to come up, 540 on; Karow 1993: 245-349",
    ),
    ("spring-wheat-haun", "Haun 4", (681, 681, 681), "North Dakota network table, wheat"),
    ("spring-barley-haun", "Haun 5, tillering ends", (801, 801, 801), "North Dakota network table, barley"),
    ("oats-leaf-then-calendar", "leaf 2", (457, 461, 465), "UK oat guide: 312-320 to full emergence, 145 a leaf"),
    ("sorghum-high-plains", "6", (1466.8, 1528, 1589.2), "High Plains table: early, mid, late"),
    ("cotton-dd60-stoneville", "first bloom", (874, 874, 1087), "Cathey 1985: 874, first square 478; Abaye 1998: 609"),
    ("canola-network-bands", "early flower", (933, 1049, 1165), "North Dakota network bands, canola"),
    ("sunflower-network", "R1", (919, 1048, 1048), "North Dakota network 1048; Carrington 919; Manitoba 569 C = 1024"),
    ("alfalfa-tenth-bloom-by-growth", "one tenth bloom", (585, 585, 585), "Sharratt 1989, first growth"),
    ("sugar-beet-leaves", "V10", (1253, 1253, 1253), "Holen and Dexter 1997"),
    ("soybean-days-between-stages", "R6", (42, 43, 49), "North Dakota 21 + 21 to 28 and 28; Minnesota 15"),
    ("potato-days", "IV", (44, 56, 84), "Potato health management: 30-70, then 14; Nebraska: 6 weeks"),
    ("peanut-days-then-dd56", "harvest", (2500, 2700, 2700), "Clemson 2700; press report 2500"),
]


@pytest.mark.parametrize(("model", "point", "expected", "source"), TOTALS, ids=[f"{t[0]} {t[1]}" for t in TOTALS])
def test_totals_are_those_of_the_publications(
    database: Database, model: str, point: str, expected: tuple[float, float, float], source: str
) -> None:
    assert total(database, model, point) == pytest.approx(expected), source


def test_brackets_have_no_date(database: Database) -> None:
    made = [p for c, m in models(database) for each in m.legs for p in crop_points(database, c, each)]
    assert len(made) >= 190
    assert {p.basis for p in made if p.typical is None} == {"bracket"}
    assert total(database, "soybean-days-between-stages", "R2") == (0, None, 14)


def test_methods_are_known_to_the_arithmetic(database: Database) -> None:
    """A leg's method and limits can be worked out by `degree_days`, or by the helper for small grains."""
    for _, model in models(database):
        for each in model.legs:
            if each.method in HELD_BY_HELPERS:
                continue
            method = METHODS[each.method]
            assert each.upper is not None or method.upper != "needed"
            assert each.upper is None or method.upper != "none"
    named = {r.method for r in database.timing.values() if r.method} - HELD_BY_HELPERS
    assert named <= set(METHODS)


def test_the_early_cap_ends_at_two_leaves(database: Database) -> None:
    for crop, model in models(database):
        for each in (each for each in model.legs if each.method == "ndawn-small-grain"):
            two = next(p for p in crop_points(database, crop, each) if p.name == "Haun 2")
            assert (each.early_upper, each.early_until) == (70, two.typical)


def test_rows_are_read_publications_used_by_a_model(database: Database) -> None:
    used = {name for _, model in models(database) for _, name in named_rows(model)}
    assert used == set(database.timing)
    assert len(used) >= 400
    assert not {row.source for row in database.timing.values()} & NOT_PUBLICATIONS


REACHED = [
    ("corn", 0, "tassel-to-silk", "yes"),
    ("soybean", 0, "pods", "yes"),
    ("wheat", 0, "boot", "yes"),
    ("wheat", 0, "seedling", "partly"),
    ("wheat", 1, "stem-elongation", "partly"),
    ("small-grains", 1, "boot", "partly"),
    ("rice", 0, "flowering-flag-leaf", "no"),
    ("dry-bean", 0, "bloom", "partly"),
    ("peanut", 0, "bloom", "partly"),
]


@pytest.mark.parametrize(("crop_id", "number", "protocol_id", "expected"), REACHED)
def test_which_windows_are_reached(
    database: Database, crop_id: str, number: int, protocol_id: str, expected: str
) -> None:
    crop = database.crops[crop_id]
    window = next(p.window for p in crop.protocols if p.protocol == protocol_id)
    assert reached(database, crop, crop.development[number], window) == expected


def test_a_window_of_unknown_stages_is_not_reached(database: Database) -> None:
    crop = database.crops["corn"]
    window = Window.model_validate({"from": "V99", "to": "R1"})
    assert reached(database, crop, crop.development[0], window) == "no"


def test_a_rating_moves_silk_and_black_layer_alike(database: Database) -> None:
    """R6 = rating, R1 = rating - 1300 (Kansas State); the five parts between follow the High Plains table."""
    rating = database.crops["corn"].development[0].rating
    assert rating is not None
    assert rating.before == {"R1": 1300, "R2": 1040, "R3": 910, "R4": 780, "R5": 520}
    mid = [1200, 1440, 1680, 1920, 2400]
    shares = [1 - (r - mid[0]) / (mid[-1] - mid[0]) for r in mid]
    assert [rating.before[s] / 1300 for s in ("R1", "R2", "R4", "R5")] == pytest.approx(shares[:4])
