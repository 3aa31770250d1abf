"""Degree-days against figures printed by others. Each file of degree_days/ names its publication; see its README."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from earleaf.agronomy.degree_days import METHODS, degree_days, next_lows

HERE = Path(__file__).parent / "degree_days"
Row = dict[str, str]
WAVES = ("single-sine", "single-triangle", "double-sine", "double-triangle")
PRINTED_IN_HUNDREDTHS = 0.005 * 1.1


def rows(name: str) -> list[Row]:
    with (HERE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def column(table: list[Row], name: str) -> NDArray[np.float64]:
    return np.array([float(row[name]) for row in table])


def counted(row: Row) -> float:
    def number(name: str) -> float | None:
        return float(row[name]) if row[name] else None

    return degree_days(
        float(row["t_min"]),
        float(row["t_max"]),
        method=row["method"],
        lower=float(row["lower"]),
        upper=number("upper"),
        t_min_next=number("t_min_next"),
    )


ORACLES = rows("oracles.csv")


def named(use: str) -> list[object]:
    return [pytest.param(row, id=f"{row['id']}-{row['method']}") for row in ORACLES if row["use"] == use]


@pytest.mark.parametrize("row", named("oracle"))
def test_a_printed_example_is_met(row: Row) -> None:
    """Outside authority: the publication in the row."""
    assert counted(row) == pytest.approx(float(row["expected"]), abs=float(row["tolerance"])), row["source"]


@pytest.mark.parametrize("row", named("trap"))
def test_a_misprint_is_not_repeated(row: Row) -> None:
    """Outside authority: the same source's own rule, which its printed figure does not follow."""
    assert counted(row) != pytest.approx(float(row["expected"]), abs=0.5), row["source"]


def test_what_the_misprints_should_say() -> None:
    right = {row["id"]: counted(row) for row in ORACLES if row["use"] == "trap"}
    assert right == pytest.approx({"DD027": 20.5, "DD056": 27.125, "DD077": 21.0, "DD098": 6.5})


@pytest.mark.parametrize("row", named("recalled"))
def test_a_recalled_example_is_met(row: Row) -> None:
    """No outside authority: examples from memory. They guard the arithmetic, they prove nothing about the method."""
    assert counted(row) == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


def test_all_examples_are_there() -> None:
    uses = [row["use"] for row in ORACLES]
    assert (uses.count("oracle"), uses.count("trap"), uses.count("recalled")) == (63, 4, 7)
    assert all(row["source"] for row in ORACLES)


def test_mcmaster_and_wilhelm_1997_table_1() -> None:
    """McMaster & Wilhelm 1997, Agric. For. Meteorol. 87:291-300, table 1: ten days, two readings of one formula."""
    table = rows("mcmaster-wilhelm-1997-table-1.csv")
    low, high = column(table, "t_min_c"), column(table, "t_max_c")
    for number in ("1", "2"):
        ours = degree_days(low, high, method=f"simple-avg-method{number}", lower=0.0)
        assert ours == pytest.approx(column(table, f"method_{number}"), abs=1e-9)
    first, second = column(table, "method_1"), column(table, "method_2")
    straddles = (low < 0) & (high > 0)
    assert (first[straddles] < second[straddles]).all() and (first == second)[~straddles].all()


@pytest.mark.parametrize("method", WAVES)
def test_zalom_1983_table_7(method: str) -> None:
    """Zalom et al. 1983, Univ. of California leaflet 21373, table 7: 12 days, thresholds 55 and 90 F.

    One cell of 48 is left out: double triangle, 60/100/75, printed 24.88. Its own halves give 27.125. The cell of the
    double sine beside it, and all others of the column, follow the rule of halves. Cells are printed to 0.01, some cut
    off instead of rounded.
    """
    table = rows("zalom-1983-table-7.csv")
    name = method.replace("-", "_")
    kept = [row for row in table if not (method == "double-triangle" and row[name] == "24.88")]
    assert len(kept) == 12 - (method == "double-triangle")
    ours = degree_days(
        column(kept, "t_min_f"),
        column(kept, "t_max_f"),
        method=method,
        lower=55.0,
        upper=90.0,
        t_min_next=column(kept, "t_min_next_f"),
    )
    assert ours == pytest.approx(column(kept, name), abs=0.01)


@pytest.mark.parametrize("method", WAVES)
def test_a_station_year_at_ojai(method: str) -> None:
    """366 days of 2016, Ojai, California, as counted by the Univ. of California statewide pest programme, 12 and 33 C.

    Results are printed in hundredths; beyond half of that, a tenth of it is allowed for how halves were rounded.
    """
    table = rows("ojai-2016.csv")
    assert len(table) == 366
    low = column(table, "t_min_c")
    ours = degree_days(low, column(table, "t_max_c"), method=method, lower=12.0, upper=33.0, t_min_next=next_lows(low))
    printed = column(table, method.replace("-", "_"))
    assert np.abs(ours - printed).max() <= PRINTED_IN_HUNDREDTHS


def test_the_alfalfa_day_tells_two_methods_apart() -> None:
    """Michigan State Univ., first cutting of alfalfa: 40/60 F over 41 F is 9, as only the mean is compared with 41."""
    assert degree_days(40.0, 60.0, method="alfalfa-base41", lower=41.0) == 9.0
    assert degree_days(40.0, 60.0, method="simple-avg-method1", lower=41.0) == 9.0
    assert degree_days(40.0, 60.0, method="simple-avg-method2", lower=41.0) == 9.5


def test_the_three_days_of_the_corn_column_make_43() -> None:
    """Univ. of Wisconsin county extension column: 65/90, 46/72 and 42/63 F sum to 43."""
    assert degree_days([65, 46, 42], [90, 72, 63], method="modified-86-50", lower=50, upper=86).sum() == 43.0


def test_the_georgia_cap_is_small_but_not_nothing() -> None:
    """Univ. of Georgia cotton production guide 2011: highs above 93 F are entered as 93."""
    assert degree_days(74.0, 100.0, method="dd60", lower=60.0) == 27.0
    assert degree_days(74.0, 100.0, method="dd60", lower=60.0, upper=93.0) == 23.5
    assert degree_days(70.0, 86.0, method="dd60", lower=60.0, upper=93.0) == 18.0


@pytest.mark.parametrize("crop", sorted({row["crop"] for row in rows("wofost-tables.csv")}))
def test_a_wofost_table_is_a_line_between_two_limits(crop: str) -> None:
    """WOFOST crop parameter sets, Wageningen: the daily gain read from a table of the mean, for twelve crops."""
    table = [row for row in rows("wofost-tables.csv") if row["crop"] == crop]
    mean, gain = column(table, "mean_c"), column(table, "gain_c")
    lower = float(mean[gain == 0].max())
    upper = lower + float(gain.max())
    days = np.linspace(-10.0, 60.0, 281)
    ours = degree_days(days, days, method="wofost-tsum", lower=lower, upper=upper)
    assert ours == pytest.approx(np.interp(days, mean, gain), abs=1e-9)


PRINTED_F = {
    "modified-86-50": (50, 86, None),  # Gilmore & Rogers 1958; Nielsen, Purdue Univ.
    "base0-C-small-grains": (32, None, None),  # Oregon State Univ. EM 8578
    "ndawn-small-grain-early": (32, 70, None),  # North Dakota Agricultural Weather Network
    "ndawn-small-grain-late": (32, 95, None),  # the same
    "ndawn-sugarbeet": (34, 86, None),  # Holen & Dexter 1997; Montana Climate Office
    "dd60": (60, 93, None),  # Univ. of Georgia cotton production guide 2011
    "dd50-rice": (50, 94, 70),  # Univ. of Arkansas DD50 programme
    "dd56-peanut": (56, None, None),  # Clemson Univ. peanut guide
    "alfalfa-base41": (41, None, None),  # Michigan State Univ.
    "growth-day-counter-40F": (40, None, None),  # Oklahoma State Univ.
}
PRINTED_C = {"chu-ontario": (10, None), "p-days-potato": (7, 30)}  # Brown & Bootsma 1993; Sands and others 1979


def test_thresholds_are_those_the_sources_print() -> None:
    for name, printed in PRINTED_F.items():
        fahrenheit, celsius = METHODS[name].limits
        ours = (fahrenheit.lower, fahrenheit.upper, fahrenheit.low_cap)
        assert ours == tuple(np.inf if limit is None else limit for limit in printed), name
        assert (fahrenheit.unit, celsius.unit) == ("F", "C")
        in_c = [(limit - 32) / 1.8 for limit in ours]
        assert (celsius.lower, celsius.upper, celsius.low_cap) == pytest.approx(in_c), name
    for name, (lower, upper) in PRINTED_C.items():
        (only,) = METHODS[name].limits
        assert (only.unit, only.lower, only.upper) == ("C", lower, np.inf if upper is None else upper)
    assert {name for name, method in METHODS.items() if method.limits} == {*PRINTED_F, *PRINTED_C}


@pytest.mark.parametrize(("lower", "upper"), [(51, 86), (50, 87), (11, 30), (10, 31), (10.5, 30)])
def test_a_threshold_a_degree_off_is_refused(lower: float, upper: float) -> None:
    """50 and 86 F, or 10 and 30 C, and nothing near them."""
    with pytest.raises(ValueError):
        degree_days(12.0, 25.0, method="modified-86-50", lower=lower, upper=upper)


def test_which_methods_look_at_the_next_day_fall_in_heat_or_are_recalled() -> None:
    """Zalom and others 1983: double waves use the next low; vertical and intermediate cut-offs count less in heat. Corn
    heat units and P-days have a hottest useful day by their formulas. What was not read says so."""

    def having(flag: str, value: object = True) -> set[str]:
        return {name for name, method in METHODS.items() if getattr(method, flag) == value}

    cut = {f"{often}-{wave}-{how}" for often in ("single", "double") for wave in ("sine", "triangle")
           for how in ("vertical", "intermediate")} | {"vertical-cutoff", "intermediate-cutoff"}  # fmt: skip
    assert having("needs_next_low") == {name for name in METHODS if name.startswith("double-")}
    assert having("falls_when_hot") == cut | {"chu-ontario", "p-days-potato"}
    assert having("known", "recalled") == cut | {"dd50-rice", "p-days-potato"}
    assert having("upper", "needed") >= cut and not having("upper", "needed") & {"single-sine", "double-triangle"}
    tables = {name: METHODS[name].source.rpartition(" ")[2] for name in WAVES}
    assert tables == {"single-sine": "5", "single-triangle": "3", "double-sine": "6", "double-triangle": "4"}
