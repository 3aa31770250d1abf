"""The ways of counting degree-days, by id: formula, source, thresholds, and whether the source was read."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Literal

import numpy as np

from . import averages, waves
from .averages import Day
from .readings import Array

Upper = Literal["needed", "optional", "built-in", "none"]
ZALOM = "Zalom, Goodell, Wilson, Barnett & Bentley 1983, Univ. of California leaflet 21373"
MCMASTER = "McMaster & Wilhelm 1997, Agric. For. Meteorol. 87:291-300"


@dataclass(frozen=True)
class Limits:
    """Thresholds a source prints for one unit, "F" or "C"; caps are infinite where there are none."""

    unit: str
    lower: float
    upper: float = np.inf
    low_cap: float = np.inf


@dataclass(frozen=True)
class Method:
    """One way of counting.

    `upper` says whether an upper threshold is needed, optional, built in (may be left out) or not taken. `limits`, if
    any, are the only thresholds allowed. `needs_next_low` marks the double methods. `falls_when_hot` marks those where
    a hotter day may count less. `known` is "read", or "recalled" where a figure or the formula is still to be checked.
    """

    id: str
    name: str
    formula: str
    source: str
    rule: Callable[[Day], Array]
    upper: Upper = "none"
    limits: tuple[Limits, ...] = ()
    needs_next_low: bool = False
    falls_when_hot: bool = False
    known: Literal["read", "recalled"] = "read"
    unit: str = "degree-days"


def _fahrenheit(lower: float, upper: float = np.inf, low_cap: float = np.inf) -> tuple[Limits, ...]:
    """Limits printed in F, and the same in C."""
    celsius = [(value - 32.0) * 5.0 / 9.0 for value in (lower, upper, low_cap)]
    return Limits("F", lower, upper, low_cap), Limits("C", *celsius)


MEAN = "max(0, min((high + low)/2, upper) - lower)"
CLIP = "(clip(high, lower, upper) + clip(low, lower, upper))/2 - lower"
NETWORK = "North Dakota Agricultural Weather Network, Bauer, Fanning, Enz & Eberlein 1984"
AQUACROP = "FAO AquaCrop reference manual and open crop files"

_MEANS = (
    Method("simple-avg-method1", "Simple average, floor on the mean", MEAN, MCMASTER, averages.capped_mean, "optional"),
    Method(
        "simple-avg-method2",
        "Simple average, each reading clipped",
        CLIP,
        MCMASTER,
        averages.clipped_readings,
        "optional",
    ),
    Method(
        "modified-86-50",
        "Modified corn method: high capped, low raised",
        CLIP + ", 50 and 86 F or 10 and 30 C",
        "Gilmore & Rogers 1958; Barger 1969; Nielsen, Purdue Univ.",
        averages.clipped_readings,
        "needed",
        _fahrenheit(50, 86),
    ),
    Method(
        "clamped-general",
        "Both readings clipped to two cut-offs",
        CLIP,
        "North Dakota and Montana weather networks; High Plains Regional Climate Center crop tables",
        averages.clipped_readings,
        "needed",
    ),
    Method(
        "base0-C-small-grains",
        "Small grains, base 0 C",
        MEAN,
        "Kansas State Univ. and Oregon State Univ. wheat pages (Oregon EM 8578)",
        averages.capped_mean,
        limits=_fahrenheit(32),
    ),
    Method(
        "ndawn-small-grain-early",
        "Wheat and barley up to two leaves: base 32 F, cap 70 F",
        CLIP,
        NETWORK,
        averages.clipped_readings,
        "built-in",
        _fahrenheit(32, 70),
    ),
    Method(
        "ndawn-small-grain-late",
        "Wheat and barley from two leaves on: base 32 F, cap 95 F",
        CLIP,
        NETWORK,
        averages.clipped_readings,
        "built-in",
        _fahrenheit(32, 95),
    ),
    Method(
        "ndawn-sugarbeet",
        "Sugar beet: base 34 F, cap 86 F",
        CLIP,
        "Holen & Dexter 1997; the cap by the Montana Climate Office",
        averages.clipped_readings,
        "built-in",
        _fahrenheit(34, 86),
    ),
)

_CROPS = (
    Method(
        "dd60",
        "Cotton DD60; with upper 93 F the Georgia form",
        "max(0, (min(high, upper) + low)/2 - 60)",
        "Oosterhuis 1990; Cathey 1985; the cap: Univ. of Georgia cotton production guide 2011",
        averages.capped_high,
        "optional",
        _fahrenheit(60, 93),
    ),
    Method(
        "dd50-rice",
        "Rice DD50: high capped at 94 F, low at 70 F",
        "max(0, (min(high, 94) + min(low, 70))/2 - 50)",
        "Univ. of Arkansas DD50 programme (caps recalled); Univ. of Missouri (base)",
        averages.capped_apart,
        "built-in",
        _fahrenheit(50, 94, 70),
        known="recalled",
    ),
    Method(
        "dd56-peanut",
        "Peanut DD56",
        MEAN,
        "Clemson Univ. peanut guide",
        averages.capped_mean,
        limits=_fahrenheit(56),
    ),
    Method(
        "alfalfa-base41",
        "Alfalfa, base 41 F",
        MEAN,
        "Michigan State Univ.; Univ. of Minnesota",
        averages.capped_mean,
        limits=_fahrenheit(41),
    ),
    Method(
        "growth-day-counter-40F",
        "Days with a mean above 40 F",
        "1 if (high + low)/2 > 40 else 0",
        "Oklahoma State Univ.",
        averages.day_above,
        limits=_fahrenheit(40),
        unit="days",
    ),
    Method(
        "chu-ontario",
        "Corn heat units, readings in C, lower 10",
        "(Ymax + Ymin)/2, Ymax = 3.33 (high - 10) - 0.084 (high - 10)^2, Ymin = 1.8 (low - 4.4), each 0 or more",
        "Brown & Bootsma 1993; Agriculture and Agri-Food Canada",
        averages.corn_heat_units,
        limits=(Limits("C", 10),),
        falls_when_hot=True,
        unit="corn heat units",
    ),
    Method(
        "p-days-potato",
        "Potato P-days, readings in C, lower 7, upper 30",
        "(5 p(T1) + 8 p(T2) + 8 p(T3) + 3 p(T4))/24",
        "Sands, Hackett & Nix 1979",
        averages.potato_days,
        "built-in",
        (Limits("C", 7, 30),),
        falls_when_hot=True,
        known="recalled",
        unit="P-days",
    ),
)

_MODELS = (
    Method("aquacrop-gdd-1", "AquaCrop, mean clipped", "clip(mean) - lower", AQUACROP, averages.capped_mean, "needed"),
    Method(
        "aquacrop-gdd-2",
        "AquaCrop, readings clipped",
        "mean of clipped readings - lower",
        AQUACROP,
        averages.clipped_readings,
        "needed",
    ),
    Method(
        "aquacrop-gdd",
        "AquaCrop, the way its crop files use",
        "max(lower, (clip(high, lower, upper) + min(low, upper))/2) - lower",
        AQUACROP,
        averages.clipped_mean_of_capped,
        "needed",
    ),
    Method(
        "wofost-tsum",
        "WOFOST temperature sum: mean between two limits",
        "min(max((high + low)/2 - lower, 0), upper - lower)",
        "WOFOST crop parameter sets, Wageningen; each crop's table is a straight line between two limits",
        averages.capped_mean,
        "needed",
    ),
)


def _waves() -> list[Method]:
    """Two waves, once or twice a day, three cut-offs; the two plain cut-off ids are those of the single sine."""
    shapes: tuple[tuple[str, waves.Wave, str, str], ...] = (
        ("sine", waves.sine, "Baskerville & Emin 1969; Allen 1976; " + ZALOM, "56"),
        ("triangle", waves.triangle, ZALOM, "34"),
    )
    areas: dict[waves.Cutoff, str] = {
        "horizontal": "A(lower) - A(upper)",
        "intermediate": "A(lower) - 2 A(upper)",
        "vertical": "A(lower) - A(upper) - (upper - lower) * share of the day above upper",
    }
    out: list[Method] = []
    for shape, wave, source, tables in shapes:
        for number, build in enumerate((waves.single, waves.double)):
            for cutoff, area in areas.items():
                usual = cutoff == "horizontal"
                out.append(
                    Method(
                        ("single-", "double-")[number] + shape + ("" if usual else f"-{cutoff}"),
                        f"{('Single', 'Double')[number]} {shape}, {cutoff} cut-off",
                        area,
                        f"{source}, table {tables[number]}",
                        build(wave, cutoff),
                        "optional" if usual else "needed",
                        needs_next_low=number == 1,
                        falls_when_hot=not usual,
                        known="read" if usual else "recalled",
                    )
                )
    return out


def _all() -> Mapping[str, Method]:
    methods = {m.id: m for m in (*_MEANS, *_CROPS, *_MODELS, *_waves())}
    for cutoff in ("vertical", "intermediate"):
        methods[f"{cutoff}-cutoff"] = replace(methods[f"single-sine-{cutoff}"], id=f"{cutoff}-cutoff")
    return MappingProxyType(methods)


METHODS: Mapping[str, Method] = _all()
