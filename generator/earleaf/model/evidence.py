"""Published rows: one row is one statement of one source."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from .base import Id, MonthDay, Record, RowId, Text
from .development import Amount, Method, Number
from .vocabulary import HandlingTopic


class SamplingRow(Record):
    """What one source says about one crop at one stage. An empty cell means: not stated by this source."""

    row: RowId
    source: Id
    crop: Id
    stage_text: Text = Field(description="The stage in the source's own terms, shortened.")
    stage_from: str | None = Field(default=None, description="Our mapping to the crop's stage system.")
    stage_to: str | None = None
    condition: Text | None = None
    part: Id | None = None
    count_min: float | None = Field(default=None, gt=0, le=5000)
    count_max: float | None = Field(default=None, gt=0, le=5000)
    count_unit: Id | None = None
    note: Text | None = None


class HandlingRow(Record):
    """What one source says about handling, once."""

    row: RowId
    topic: HandlingTopic
    rule: Text
    value: Text | None = None
    unit: Text | None = None
    source: Id


class TimingRow(Record):
    """What one source prints about the time, or the warmth, from one point of a crop's life to another.

    `amount` is a single figure, `low` and `high` a range; a date is a `date_from` and a `date_to`. `from_event` and
    `to_stage` are the source's own points, shortened; `stage` and `stage_to` are our mapping to the crop's codes.
    """

    row: RowId
    source: Id
    crop: Id
    method: Method | None = Field(default=None, description="How a day counts; left out for dates.")
    lower: Number | None = None
    upper: Number | None = None
    unit: Literal["F", "C"] | None = Field(default=None, description="Of the limits.")
    from_event: Text | None = None
    to_stage: Text
    stage: str | None = None
    stage_to: str | None = None
    amount: Amount | None = None
    low: Amount | None = None
    high: Amount | None = None
    date_from: MonthDay | None = None
    date_to: MonthDay | None = None
    amount_unit: Literal["gdd-f", "gdd-c", "days", "date"]
    group: Text | None = Field(default=None, description="Variety, maturity group or place it was printed for.")
    note: Text | None = None
