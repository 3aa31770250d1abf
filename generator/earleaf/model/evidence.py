"""Published rows: one row is one statement of one source."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from .base import Id, MonthDay, Record, RowId, Text
from .development import Amount, Method, Number
from .vocabulary import HandlingTopic


class SamplingRow(Record):
    """What one source says about one crop at one stage. An empty cell means: not stated by this source."""

    row: RowId = Field(description="Its id; never used again.")
    source: Id = Field(description="The id of the source.")
    crop: Id = Field(description="The id of the crop.")
    stage_text: Text = Field(description="The stage in the source's own terms, shortened.")
    stage_from: str | None = Field(default=None, description="Our mapping to the crop's stage system.")
    stage_to: str | None = Field(default=None, description="The last stage of our mapping.")
    condition: Text | None = Field(default=None, description="Only for such fields or plants, in a few words.")
    part: Id | None = Field(default=None, description="An id of plant-parts.yml.")
    count_min: float | None = Field(default=None, gt=0, le=5000, description="The smallest count printed.")
    count_max: float | None = Field(default=None, gt=0, le=5000, description="The largest count printed.")
    count_unit: Id | None = Field(default=None, description="What is counted: an id of units.yml.")
    note: Text | None = Field(default=None, description="What else the row should tell.")


class HandlingRow(Record):
    """What one source says about handling, once."""

    row: RowId = Field(description="Its id; never used again.")
    topic: HandlingTopic = Field(description="What it is about.")
    rule: Text = Field(description="What the source says, in our words.")
    value: Text | None = Field(default=None, description="The figure or word that it prints.")
    unit: Text | None = Field(default=None, description="The unit of the figure.")
    source: Id = Field(description="The id of the source.")


class TimingRow(Record):
    """What one source prints about the time, or the warmth, from one point of a crop's life to another.

    `amount` is a single figure, `low` and `high` a range; a date is a `date_from` and a `date_to`. `from_event` and
    `to_stage` are the source's own points, shortened; `stage` and `stage_to` are our mapping to the crop's codes.
    """

    row: RowId = Field(description="Its id; never used again.")
    source: Id = Field(description="The id of the source.")
    crop: Id = Field(description="The id of the crop.")
    method: Method | None = Field(default=None, description="How a day counts; left out for dates.")
    lower: Number | None = Field(default=None, description="Development stops here or colder.")
    upper: Number | None = Field(default=None, description="More warmth than this adds nothing.")
    unit: Literal["F", "C"] | None = Field(default=None, description="Of the limits.")
    from_event: Text | None = Field(default=None, description="Where the source starts to count.")
    to_stage: Text = Field(description="The stage in the source's own terms.")
    stage: str | None = Field(default=None, description="Our mapping to a code of the crop's scale.")
    stage_to: str | None = Field(default=None, description="The last stage, where it is a span.")
    amount: Amount | None = Field(default=None, description="The figure printed, where it is one.")
    low: Amount | None = Field(default=None, description="The lower end of a range.")
    high: Amount | None = Field(default=None, description="The upper end of a range.")
    date_from: MonthDay | None = Field(default=None, description="The first day, as month-day.")
    date_to: MonthDay | None = Field(default=None, description="The last day, as month-day.")
    amount_unit: Literal["gdd-f", "gdd-c", "days", "date"] = Field(description="What the figures count.")
    group: Text | None = Field(default=None, description="Variety, maturity group or place it was printed for.")
    note: Text | None = Field(default=None, description="What else the row should tell.")
