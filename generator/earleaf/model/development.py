"""How a crop develops: how much warmth, or how many days, lie between planting and each growth stage."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import Field

from .base import Id, MonthDay, Record, RowId, Said, Text
from .stages import Code

Number = Annotated[float, Field(allow_inf_nan=False)]
Amount = Annotated[float, Field(ge=0, le=20000, allow_inf_nan=False)]
Unit = Literal["F", "C", "days"]
Method = Literal[
    "days",
    "simple-avg-method1",
    "simple-avg-method2",
    "modified-86-50",
    "clamped-general",
    "ndawn-small-grain",
    "ndawn-sugarbeet",
    "growth-day-counter-40F",
    "dd60",
    "dd56-peanut",
    "alfalfa-base41",
    "aquacrop-gdd",
    "wofost-tsum",
]
EVENTS = {
    "planting": "the day of planting",
    "germination": "the day the seed germinates, about coming up where the soil is warm",
    "last-hard-frost": "the last spring night as cold as `frost`, or colder",
    "first-cut": "the first cut of the season",
    "second-cut": "the second cut of the season",
}
"""Where a leg may start, besides a stage of the crop and a day of the year."""
Basis = Literal[
    "printed",  # each figure stands in a row
    "computed",  # each figure is a sum of figures of the rows
    "range",  # low and high are printed; typical is the middle
    "band",  # the crop is in the stage from low to high, as printed; typical is the middle
    "band-reading",  # our reading of printed bands that overlap: borders and middles of bands
    "bracket",  # the stage lies between two printed figures; no typical, so it is never shown as a date
    "observed",  # low and high are dates seen in fields; typical lies between
    "derived",  # put together from several rows; `how` says in what way
    "weak",  # printed, but only a model's constant or a starting point
]


class Need(Record):
    """What one point of the crop's life needs, counted from the start of the leg, or on from an earlier point of it."""

    stage: Code | None = Field(default=None, description="The stage of the crop's own system that this is.")
    stage_to: Code | None = Field(default=None, description="Where the source's point stands for a span of stages.")
    at: Text | None = Field(default=None, description="The point in words, where it is not one code of the system.")
    after: Text | None = Field(default=None, description="Counted on from this earlier point of the leg.")
    low: Amount | None = Field(default=None, description="Left out: the same as typical.")
    typical: Amount | None = Field(default=None, description="Left out in a bracket: a window, never a date.")
    high: Amount | None = Field(default=None, description="Left out: the same as typical.")
    basis: Basis = Field(
        default="printed", description="How the figures came about; the check compares it with the rows."
    )
    how: Text | None = Field(default=None, description="How the figures came about; their sources are the rows.")
    rows: tuple[RowId, ...] = Field(min_length=1, description="Ids of the published rows this rests on.")


class Pace(Record):
    """A run of counted stages at an even pace. Each adds the same amount to the one before it."""

    first: Code = Field(alias="from", description="First stage of the run.")
    last: Code = Field(alias="to", description="Last stage of the run.")
    low: Amount | None = Field(default=None, description="For one stage. Left out: the same as typical.")
    typical: Amount = Field(description="What one stage adds.")
    high: Amount | None = Field(default=None, description="For one stage. Left out: the same as typical.")
    how: Text | None = Field(default=None, description="How the figures came about; their sources are the rows.")
    rows: tuple[RowId, ...] = Field(min_length=1, description="Ids of the published rows this rests on.")


class Leg(Record):
    """One clock: where it starts, how a day counts, and what each stage needs."""

    leg: Text = Field(description="Its name in a few words.")
    start: Text = Field(alias="from", description="planting, a stage code, a day such as 01-01, or a known event.")
    first_day: Literal["after", "same"] = Field(default="after", description="Does the start's own day count?")
    method: Method = Field(description="How a day counts.")
    lower: Number | None = Field(default=None, description="Development stops here or colder.")
    upper: Number | None = Field(default=None, description="More warmth than this adds nothing.")
    early_upper: Number | None = Field(default=None, description="The cap while the total is under `early_until`.")
    early_until: Number | None = Field(default=None, description="The total up to which `early_upper` is the cap.")
    unit: Unit = Field(description="Of the limits and the sums; days where days are counted.")
    frost: Number | None = Field(default=None, description="How cold the night is that starts last-hard-frost.")
    note: Said | None = Field(
        default=None, description="What whoever keeps the data should know of this clock; on no page."
    )
    needs: tuple[Need | Pace, ...] = Field(min_length=1, description="What each point needs, in order.")


class Rating(Record):
    """A hybrid's own total from planting, where the seller prints one; later stages are counted back from it."""

    stage: Code = Field(description="The stage that the rating is for.")
    usual: Amount = Field(description="A usual rating.")
    least: Amount = Field(description="The smallest rating that is sold.")
    most: Amount = Field(description="The largest rating that is sold.")
    before: dict[Code, Amount] = Field(description="How much earlier than the rating each stage comes.")
    from_emergence: Amount | None = Field(default=None, description="Added to a rating that starts at coming up.")
    say: tuple[Said, ...] = Field(min_length=1, description="What the page says of the rating.")
    rows: tuple[RowId, ...] = Field(min_length=1, description="Ids of the published rows this rests on.")


class Late(Record):
    """How much less a late planting needs to one stage."""

    stage: Code = Field(description="The stage that needs less.")
    after: MonthDay = Field(description="Plantings after this day need less.")
    per_day: Amount = Field(description="How much less for each day later.")
    say: tuple[Said, ...] = Field(min_length=1, description="What the page says of it.")
    rows: tuple[RowId, ...] = Field(min_length=1, description="Ids of the published rows this rests on.")


class Adjustment(Record):
    """What else moves the dates, in words: nothing is worked out from it."""

    what: Text = Field(description="What moves the dates, in a word or two.")
    say: tuple[Said, ...] = Field(min_length=1, description="In which direction, and how far if known.")
    rows: tuple[RowId, ...] = Field(default=(), description="Ids of the published rows this rests on.")


class Calendar(Record):
    """Dates that a source prints for one place. They hold there, and are a check elsewhere."""

    place: Text = Field(description="The place the dates are for.")
    hemisphere: Literal["north", "south"] = Field(description="Where that is: north or south of the equator.")
    rows: tuple[RowId, ...] = Field(min_length=1, description="Rows that print the dates.")


class Alternative(Record):
    """Another published timing of the same crop, and when to use it."""

    alternative: Id = Field(description="A short id for it.")
    say: Said = Field(description="What it is, and when to use it.")
    rows: tuple[RowId, ...] = Field(min_length=1, description="Ids of the published rows this rests on.")


Bound = Literal["low", "typical", "high"]


class Development(Record):
    """The timing of one crop, or of one kind of it, with everything said for and against it."""

    model: Id = Field(description="Its id within the crop.")
    kind: Text | None = Field(default=None, description="Which kind of the crop: winter wheat, spring barley ...")
    status: Literal["usable", "partial"] = Field(
        description="Usable: dates are shown. Partial: what is known, without dates."
    )
    confidence: Said = Field(description="How sure the dates are, in a sentence.")
    restart: Said = Field(description="What to do when a stage is seen in the field.")
    depends_on: Said = Field(description="What the dates depend on.")
    limits: tuple[Said, ...] = Field(default=(), description="Where it holds, and what it cannot tell.")
    legs: tuple[Leg, ...] = Field(min_length=1, description="The clocks, in order.")
    rating: Rating | None = Field(default=None, description="Where sellers print a total for each hybrid.")
    late: Late | None = Field(default=None, description="Where late plantings need less.")
    groups: dict[Literal["early", "mid", "late"], Bound] = Field(
        default={}, description="Which figure is that of a maturity group, where rows are printed by group."
    )
    adjustments: tuple[Adjustment, ...] = Field(default=(), description="What else moves the dates, in words.")
    calendars: tuple[Calendar, ...] = Field(default=(), description="Dates that sources print for one place.")
    alternatives: tuple[Alternative, ...] = Field(default=(), description="Other published timings of the same crop.")
    differs: tuple[RowId, ...] = Field(default=(), description="Rows that say otherwise; the page shows them.")


@dataclass(frozen=True, slots=True)
class Point:
    """One point of a leg with its sums from the start of the leg. `typical` is None in a bracket."""

    name: str
    stage: str | None
    stage_to: str | None
    low: float
    typical: float | None
    high: float
    basis: Basis
    entry: int


def bounds(entry: Need | Pace) -> tuple[float, float | None, float] | None:
    """Low, typical and high as written, with what was left out filled in; None where that cannot be done.

    Need(stage="V3", typical=311, ...) gives (311, 311, 311); a bracket gives (800, None, 1190).
    """
    low = entry.low if entry.low is not None else entry.typical
    high = entry.high if entry.high is not None else entry.typical
    return None if low is None or high is None else (low, entry.typical, high)


def points(leg: Leg, codes: Sequence[str]) -> tuple[Point, ...]:
    """Every point of a leg in order, runs written out and counts added up. `codes`: the crop's stages in order.

    Amounts are in the unit of the leg. Entries that name what is not there are left out; the check tells them.
    A leg of VE at 115 and a pace of 82 from V1 to V3 gives VE 115, V1 197, V2 279, V3 361.
    """
    out: list[Point] = []
    for entry, need in enumerate(leg.needs):
        out.extend(_points_of(need, entry, out, codes))
    return tuple(out)


def _points_of(need: Need | Pace, entry: int, before: list[Point], codes: Sequence[str]) -> Iterator[Point]:
    each = bounds(need)
    if each is None:
        return
    if isinstance(need, Need):
        base = next((p for p in before if p.name == need.after), None)
        if need.after is None or base is not None:
            name = need.at or need.stage or ""
            yield Point(name, need.stage, need.stage_to, *_add(base, each), need.basis, entry)
        return
    if need.first not in codes or need.last not in codes or not before:
        return
    point = before[-1]
    for code in codes[codes.index(need.first) : codes.index(need.last) + 1]:
        point = Point(code, code, None, *_add(point, each), "computed", entry)
        yield point


def _add(base: Point | None, each: tuple[float, float | None, float]) -> tuple[float, float | None, float]:
    if base is None:
        return each
    low, typical, high = each
    middle = None if typical is None or base.typical is None else round(base.typical + typical, 6)
    return round(base.low + low, 6), middle, round(base.high + high, 6)
