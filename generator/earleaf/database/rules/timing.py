"""Timing models are whole: names that exist, clocks that can run, stages in order with sums that grow."""

from __future__ import annotations

from collections.abc import Iterator

from ...agronomy.degree_days import check_thresholds
from ...agronomy.methods import METHODS
from ...model.crop import Crop
from ...model.development import EVENTS, Leg, Need, Pace, Point, bounds
from ...model.finding import Finding
from ..ask import Path
from ..load import Database
from ..timing import codes_of, crop_points, named_rows, start_kind
from .base import Context, Faults, Rule, near

CAPPED_ONCE = "ndawn-small-grain-late"
"""The later of the two methods that `ndawn-small-grain` joins: its limits are those of a leg."""


def check(db: Database, context: Context) -> Iterator[Finding]:
    f = Faults(db, RULE.name)
    yield from _rows(db, f)
    models: dict[str, str] = {}
    for crop in db.crops.values():
        for i, model in enumerate(crop.development):
            where: Path = ("development", i)
            if model.model in models:
                said = f"model {model.model!r} is also in crops/{models[model.model]}.yml"
                yield f.at("crop", crop.crop, (*where, "model"), said, "give one of the two another id")
            models.setdefault(model.model, crop.crop)
            for path, row in named_rows(model):
                yield from _named(db, f, crop, (*where, *path), row)
            for j, leg in enumerate(model.legs):
                yield from _leg(db, f, crop, (*where, "legs", j), leg)


def _rows(db: Database, f: Faults) -> Iterator[Finding]:
    """The rows themselves: known source, crop and stages, and something that they print."""
    every = db.every_crop()
    for key, row in db.timing.items():
        if db.is_missing("source", row.source, db.sources):
            yield f.row(key, f"unknown source {row.source!r}", near(row.source, db.sources))
        if db.is_missing("crop", row.crop, every):
            yield f.row(key, f"unknown crop {row.crop!r}", near(row.crop, every))
        codes = codes_of(db, every[row.crop]) if row.crop in every else ()
        for stage in (row.stage, row.stage_to):
            if stage is not None and codes and stage not in codes:
                yield f.row(key, f"unknown stage {stage!r}", near(stage, codes, 30))
        is_date = row.amount_unit == "date"
        if (row.date_from is None or row.date_to is None) if is_date else (row.amount is None and row.low is None):
            kind = "date_from and date_to" if is_date else "an amount, or low and high"
            yield f.row(key, f"row {key} prints no figure", f"fill in {kind}, or delete the row")
        if row.amount is None and row.low is not None and (row.high is None or row.high < row.low):
            yield f.row(key, f"low is {row.low:g} and high is {row.high}", "give both ends of the range, low end first")
        if row.amount_unit.startswith("gdd") and (row.method is None or row.lower is None or row.unit is None):
            yield f.row(key, f"row {key} sums degree-days from no base", "fill in method, lower and unit")


def _named(db: Database, f: Faults, crop: Crop, where: Path, name: str) -> Iterator[Finding]:
    if db.is_missing("timing row", name, db.timing):
        mine = [r for r, row in db.timing.items() if row.crop == crop.crop] or list(db.timing)
        yield f.at("crop", crop.crop, where, f"unknown timing row {name!r}", near(name, mine))
    elif name in db.timing and db.timing[name].crop != crop.crop:
        about = db.timing[name].crop
        yield f.at("crop", crop.crop, where, f"row {name} is about {about}", "use rows of this crop")


def _leg(db: Database, f: Faults, crop: Crop, where: Path, leg: Leg) -> Iterator[Finding]:
    codes = codes_of(db, crop)
    if codes and start_kind(leg, codes) is None:
        hint = f"use a stage code, a day such as 01-01, or one of: {', '.join(EVENTS)}"
        yield f.at("crop", crop.crop, (*where, "from"), f"unknown start {leg.start!r}", hint)
    if (leg.start == "last-hard-frost") != (leg.frost is not None):
        said = "last-hard-frost and `frost` go together"
        yield f.at("crop", crop.crop, (*where, "from"), said, "say how cold a night counts, or start at another event")
    for key, said, hint in clock_faults(leg):
        yield f.at("crop", crop.crop, (*where, key), said, hint)
    faulty = False
    for k in range(len(leg.needs)):
        for finding in _need(f, crop, (*where, "needs", k), leg, k, codes):
            faulty = True
            yield finding
    if codes and not faulty:
        yield from _order(db, f, crop, where, leg)


def clock_faults(leg: Leg) -> Iterator[tuple[str, str, str]]:
    """(key, what is wrong, what to do) of a leg's method, limits and unit."""
    limits = {"lower": leg.lower, "upper": leg.upper, "early_upper": leg.early_upper, "early_until": leg.early_until}
    if leg.method == "days" or leg.unit == "days":
        if leg.method != leg.unit:
            said = f"method {leg.method} with unit {leg.unit}"
            yield "unit", said, "days are counted with `method: days` and `unit: days`, warmth with a method and F or C"
            return
        for key in (key for key, value in limits.items() if value is not None):
            yield key, f"{key} is given, but the leg counts days", "remove it"
        return
    if leg.lower is None:
        yield "method", f"{leg.method} needs `lower`", "add the base temperature"
        return
    method = CAPPED_ONCE if leg.method == "ndawn-small-grain" else leg.method
    if leg.upper is None and METHODS[method].upper in ("needed", "built-in"):
        yield "method", f"{leg.method} needs `upper`", "add the temperature above which warmth no longer counts"
        return
    if leg.upper is not None and leg.upper <= leg.lower:
        yield "upper", f"upper {leg.upper:g} is not above lower {leg.lower:g}", "swap them"
        return
    if leg.upper is not None and METHODS[method].upper == "none":
        yield (
            "upper",
            f"{leg.method} has no upper limit, and {leg.upper:g} is given",
            "remove it, or use another method",
        )
        return
    try:
        check_thresholds(method, leg.unit, leg.lower, leg.upper)
    except ValueError as error:
        yield "lower", str(error), "use those limits, in F or C, or another method"
    if (leg.method == "ndawn-small-grain") != (leg.early_upper is not None and leg.early_until is not None):
        yield "method", "ndawn-small-grain goes with `early_upper` and `early_until`", "add both, or remove both"


def _need(f: Faults, crop: Crop, where: Path, leg: Leg, k: int, codes: tuple[str, ...]) -> Iterator[Finding]:
    """One entry of a leg: its names, and low <= typical <= high."""
    need = leg.needs[k]
    if isinstance(need, Need):
        named = [("stage", need.stage or ""), ("stage_to", need.stage_to or "")]
        if need.stage is None and need.at is None:
            yield f.at("crop", crop.crop, where, "no stage and no `at`", "say which point of the crop's life this is")
        before = {name for other in leg.needs[:k] for name in _names(other, codes)}
        if need.after is not None and need.after not in before:
            said = f"{need.after!r} is no earlier point of this leg"
            yield f.at(
                "crop",
                crop.crop,
                (*where, "after"),
                said,
                near(need.after, before) if before else "put that point first",
            )
    else:
        named = [("from", need.first), ("to", need.last)]
        if k == 0:
            yield f.at("crop", crop.crop, where, "a pace has nothing before it", "start the leg with the first stage")
    for key, code in named:
        if code and codes and code not in codes:
            yield f.at("crop", crop.crop, (*where, key), f"unknown stage {code!r}", near(code, codes, 30))
    each = bounds(need)
    if each is None:
        said = "no typical, and not both low and high"
        yield f.at("crop", crop.crop, where, said, "give typical, or low and high of a bracket")
        return
    low, typical, high = each
    if not low <= (low if typical is None else typical) <= high:
        middle = "" if typical is None else f", typical {typical:g}"
        said = f"low {low:g}{middle}, high {high:g} do not grow"
        yield f.at("crop", crop.crop, where, said, "low comes first, high last")


def _names(need: Need | Pace, codes: tuple[str, ...]) -> tuple[str, ...]:
    """The names of the points an entry makes."""
    if isinstance(need, Need):
        return (need.at or need.stage or "",)
    if need.first not in codes or need.last not in codes:
        return (need.first, need.last)
    return codes[codes.index(need.first) : codes.index(need.last) + 1]


def _order(db: Database, f: Faults, crop: Crop, where: Path, leg: Leg) -> Iterator[Finding]:
    """Stages stand in order, and no sum is below the one before it. One finding an entry."""
    codes = codes_of(db, crop)
    last: Point | None = None
    place, told = -1, -1
    for point in crop_points(db, crop, leg):
        at = (*where, "needs", point.entry)
        index = place if point.stage is None else codes.index(point.stage)
        if index < place and point.entry != told:
            told = point.entry
            yield f.at("crop", crop.crop, at, f"{point.name} stands after a later stage", "sort by stage, early first")
        elif last is not None and point.entry != told and (falls := _falls(last, point)):
            told = point.entry
            hint = "sums count from the start of the leg and grow; use `after` to count on from a point"
            yield f.at("crop", crop.crop, at, f"{point.name} has {falls} than {last.name} before it", hint)
        last, place = point, max(place, index)


def _falls(before: Point, point: Point) -> str:
    """Which sum of a point is below that of the point before it, or ""."""
    pairs = (
        ("low", before.low, point.low),
        ("typical", before.typical, point.typical),
        ("high", before.high, point.high),
    )
    return next(
        (f"a smaller {n} sum ({b:g} < {a:g})" for n, a, b in pairs if a is not None and b is not None and b < a), ""
    )


RULE = Rule(
    "timing", "Timing models name what exists, can be worked out, and run in stage order with growing sums.", check
)
