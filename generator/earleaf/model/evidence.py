"""Published rows: one row is one statement of one source."""

from __future__ import annotations

from pydantic import Field

from .base import Id, Record, RowId, Text
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
