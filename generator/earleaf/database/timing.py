"""Look-ups about timing: points of a leg, figures of a row in the unit of a leg, and which windows a model reaches."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from ..model.crop import Crop, Window
from ..model.development import EVENTS, Development, Leg, Point, points
from ..model.evidence import TimingRow
from .ask import Path, walk
from .load import Database

SAME_BASE_F = 0.2
"""Bases that differ by less are one base, rounded in another unit: 6.7 C and 44 F."""
Reach = Literal["yes", "partly", "no"]


def codes_of(db: Database, crop: Crop) -> tuple[str, ...]:
    """The stage codes of a crop, early to late; () where its system is not known."""
    return tuple(stage.code for stage in db.stages.get(crop.stage_system, ()))


def crop_points(db: Database, crop: Crop, leg: Leg) -> tuple[Point, ...]:
    """The points of one leg of a crop, sums from the start of the leg, in its unit."""
    return points(leg, codes_of(db, crop))


def start_kind(leg: Leg, codes: tuple[str, ...]) -> Literal["event", "stage", "day"] | None:
    """What a leg starts at: a known event, a stage of the crop, a day of the year; None if it is none of them."""
    if leg.start in EVENTS:
        return "event"
    if leg.start in codes:
        return "stage"
    month, _, day = leg.start.partition("-")
    good = month.isdigit() and day.isdigit() and len(leg.start) == 5
    return "day" if good and 1 <= int(month) <= 12 and 1 <= int(day) <= 31 else None


def named_rows(model: Development) -> Iterator[tuple[Path, str]]:
    """Every row a model names, with the path of the list it stands in."""
    for path, value in walk(model):
        if path and path[-1] in ("rows", "differs") and isinstance(value, tuple):
            for row in value:
                yield path, row


def in_fahrenheit(value: float, unit: str) -> float:
    """A temperature in F. 6.7 C is 44.06 F."""
    return value * 9 / 5 + 32 if unit == "C" else value


def mismatch(row: TimingRow, leg: Leg) -> str:
    """Why a row's figures cannot be used in a leg, or "" where they can: unit and base must be the same."""
    if leg.unit == "days":
        return "" if row.amount_unit == "days" else "the leg counts days, the row does not"
    if not row.amount_unit.startswith("gdd"):
        return "the leg sums degree-days, the row does not"
    if row.lower is None or row.unit is None or leg.lower is None:
        return ""
    ours, theirs = in_fahrenheit(leg.lower, leg.unit), in_fahrenheit(row.lower, row.unit)
    if abs(ours - theirs) > SAME_BASE_F:
        return f"the leg counts from {leg.lower:g} {leg.unit}, the row from {row.lower:g} {row.unit}"
    return ""


def figures(row: TimingRow, leg: Leg) -> tuple[float, ...]:
    """What a row prints, in the unit of the leg: (amount, low, high) without the empty ones."""
    factor = {("gdd-c", "F"): 9 / 5, ("gdd-f", "C"): 5 / 9}.get((row.amount_unit, leg.unit), 1.0)
    return tuple(value * factor for value in (row.amount, row.low, row.high) if value is not None)


def reached(db: Database, crop: Crop, model: Development, window: Window) -> Reach:
    """Whether a model says when a window opens and closes.

    "yes": both ends have a date. "partly": one end only, a bracket, dates of one place, or stages inside the window.
    "no": nothing.
    A window closes when the stage after its last one begins; a point at the last stage itself counts too.
    """
    codes = codes_of(db, crop)
    if window.first not in codes or window.last not in codes:
        return "no"
    first, last = codes.index(window.first), codes.index(window.last)
    dated: set[int] = set()
    known: set[int] = set()
    for point in (point for leg in model.legs for point in points(leg, codes)):
        stages = _stages(codes, point.stage, point.stage_to)
        known |= stages
        if point.typical is not None and point.basis != "weak":
            dated |= stages
    for row in (db.timing[name] for place in model.calendars for name in place.rows if name in db.timing):
        known |= _stages(codes, row.stage, row.stage_to)
    if first in dated and (last in dated or last + 1 in dated):
        return "yes"
    return "partly" if known & set(range(first, last + 2)) else "no"


def _stages(codes: tuple[str, ...], first: str | None, last: str | None) -> set[int]:
    """Positions of a span of stages; none where it has no code."""
    if first not in codes:
        return set()
    a = codes.index(first)
    return set(range(a, (codes.index(last) if last in codes else a) + 1))
