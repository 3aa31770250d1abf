"""A crop and its protocols: what to take, when, and how many."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from .base import Id, IsoDay, MonthDay, Record, RowId, Said, SourceIds, Text
from .development import Development
from .stages import Code
from .vocabulary import Handling, HandlingTopic

ShortId = Annotated[str, StringConstraints(pattern=r"^[a-z2-9]{4}$")]
ProtocolName = Annotated[str, StringConstraints(pattern=r"^[a-z0-9-]+/[a-z0-9-]+$", max_length=121)]
Petiole = Literal["keep", "remove", "part", "only", "none"]


class Window(Record):
    """A span of growth stages, both ends included, in the crop's own stage system."""

    first: Code = Field(alias="from", description="First stage of the window.")
    last: Code = Field(alias="to", description="Last stage of the window.")


class Dates(Record):
    """A span of the calendar that a source prints. Month-day, both ends included."""

    first: MonthDay = Field(alias="from", description="First day, as month-day.")
    last: MonthDay = Field(alias="to", description="Last day, as month-day.")
    hemisphere: Literal["north", "south"] = Field(description="Where the dates hold: north or south of the equator.")
    source: SourceIds = Field(min_length=1, description="Who prints the dates.")


class After(Record):
    """Days counted from an event that the grower can see."""

    event: Text = Field(description="Such as 'full bloom'; it reads after the words 'days after'.")
    days_from: int = Field(ge=0, le=400, description="The first day of the window, counted from the event.")
    days_to: int = Field(ge=0, le=400, description="The last day of the window, counted from the event.")
    source: SourceIds = Field(min_length=1, description="Who prints the days.")


class Count(Record):
    """How many make one sample, as the sources print it."""

    min: float = Field(gt=0, le=5000, description="The smallest count.")
    max: float | None = Field(
        default=None, gt=0, le=5000, description="The largest count; left out where one figure is printed."
    )
    unit: Id = Field(description="What is counted: an id of units.yml.")
    source: SourceIds = Field(default=(), description="Only where no basis row gives a count.")


class Spots(Record):
    """The same count as a scout walks it: `each` at every one of `number` spots."""

    number: int = Field(ge=1, le=100, description="How many spots to walk to.")
    each: int = Field(ge=1, le=200, description="How many to take at each spot.")
    source: SourceIds = Field(default=("common-practice",), description="Who says so; the trade, if left out.")


class Specimen(Record):
    """One bag's worth: a part, how many, and the published rows it rests on."""

    kind: Literal["tissue", "petiole", "row section", "stalk", "clippings", "sap"] = Field(
        default="tissue", description="What kind of sample it is."
    )
    part: Id | None = Field(default=None, description="Left out where no source read names the part.")
    petiole: Petiole | None = Field(default=None, description="What happens to the leaf stalk.")
    count: Count | None = Field(default=None, description="How many make one sample.")
    spots: Spots | None = Field(default=None, description="The same count as a scout walks it.")
    how: tuple[Said, ...] = Field(default=(), description="How to take it here, one idea a line.")
    basis: tuple[RowId, ...] = Field(default=(), description="Ids of the published rows this rests on.")


class Accepted(Record):
    """Another part that a source takes in its place."""

    part: Id = Field(description="The other part: an id of plant-parts.yml.")
    basis: tuple[RowId, ...] = Field(min_length=1, description="Ids of the published rows this rests on.")


class CardLines(Record):
    """Short lines of a protocol for the pocket card. What is left out is taken from the handout's first lines."""

    title: Text | None = Field(default=None, description="The stage in fewer words, where `title` is long.")
    see: Said | None = Field(default=None, description="The stage check in one line.")
    how: tuple[Said, ...] = Field(default=(), max_length=2, description="How to take it, in one line or two.")


class Change(Record):
    """What a new version changed, for the scout who still holds the old card."""

    version: int = Field(ge=2, description="The version that brought it.")
    on: IsoDay = Field(description="The day of that version.")
    what: Said = Field(description="What changed, for a scout with the old card.")


class Retired(Record):
    """A protocol that is no more: its addresses stay, and say so."""

    protocol: Id = Field(description="The id it had.")
    title: Text = Field(description="The title it had.")
    short_id: ShortId = Field(description="The short id it had.")
    on: IsoDay = Field(description="The day it was taken out.")
    why: Said = Field(description="Why it was taken out.")
    replaced_by: ProtocolName | None = Field(
        default=None, description="As crop/protocol; left out where nothing takes its place."
    )


class Protocol(Record):
    """What to take from one crop at one stage."""

    protocol: Id = Field(description="Its id within the crop; never renamed.")
    title: Text = Field(description="The stage in the scout's words; reads after the crop: 'tassel to silk'.")
    short_id: ShortId = Field(description="Printed on cards and never used again for anything else.")
    aliases: tuple[Id, ...] = Field(default=(), description="Ids this protocol had before.")
    version: int = Field(default=1, ge=1, description="Raised by one when the advice changes.")
    changes: tuple[Change, ...] = Field(default=(), description="One for each version after the first, in order.")
    checked_on: IsoDay = Field(description="The day it was last held against its sources.")
    use: Literal["tissue", "petiole nitrate", "stalk nitrate", "sap nitrate", "harvest timing"] = Field(
        default="tissue", description="What the sample is for."
    )
    window: Window = Field(description="The stages it is for, both ends included.")
    dates: tuple[Dates, ...] = Field(
        default=(), description="The window as days of the year, where a source prints it so."
    )
    after: tuple[After, ...] = Field(
        default=(), description="The window as days from an event, where a source prints it so."
    )
    see: tuple[Said, ...] = Field(min_length=1, description="What the scout sees when this is the handout.")
    tell_apart: Said | None = Field(default=None, description="Needed where windows of one crop overlap.")
    take: tuple[Specimen, ...] = Field(min_length=1, description="What goes in each bag; most protocols have one.")
    also_accepted: tuple[Accepted, ...] = Field(default=(), description="Other parts that sources take instead.")
    differs: tuple[RowId, ...] = Field(default=(), description="Rows that concern this page and say otherwise.")
    card: CardLines = Field(default=CardLines(), description="Short lines for the pocket card.")
    notes: tuple[Said, ...] = Field(default=(), description="What else to know, one idea a line.")
    result: tuple[Said, ...] = Field(default=(), description="What a result can and cannot tell here.")
    handling: dict[HandlingTopic, Handling] = Field(
        default={}, description="Rules of this protocol, in place of those of crop and group."
    )
    cautions: tuple[Id, ...] = Field(default=(), description="Cautions of this protocol, beside those always shown.")


class Gap(Record):
    """Stages between protocols where no source read gives a protocol, said openly."""

    first: Code = Field(alias="from", description="First stage of the hole.")
    last: Code = Field(alias="to", description="Last stage of the hole.")
    why: Said = Field(description="Why nothing is said here.")


class Crop(Record):
    """A crop, its stage system, and everything published about taking its tissue."""

    crop: Id = Field(description="Its id; the same as the file name. Never renamed.")
    name: Text = Field(description="The name of the crop.")
    card: Text | None = Field(default=None, description="A shorter name for the pocket card, where `name` is long.")
    also_called: tuple[Text, ...] = Field(default=(), description="Other names for it; the search finds them.")
    latin: Text = Field(description="Its botanical name.")
    group: Id = Field(description="The id of its group.")
    stage_system: Id = Field(description="The id of the scale its windows use.")
    other_systems: tuple[Id, ...] = Field(default=(), description="Other scales in use: guides only, no windows.")
    form: Literal["grass", "broadleaf", "rosette", "vine", "tree", "bush", "turf"] = Field(
        default="broadleaf", description="How it grows; it picks the drawing."
    )
    spot: Id | None = Field(default=None, description="As in the group, where this crop differs.")
    aliases: tuple[Id, ...] = Field(default=(), description="Ids this crop had before.")
    about: Said | None = Field(default=None, description="One sentence on the crop.")
    thin: Said | None = Field(default=None, description="Why little is published here, where that is so.")
    handling: dict[HandlingTopic, Handling] = Field(
        default={}, description="Rules of this crop, in place of those of its group."
    )
    cautions: tuple[Id, ...] = Field(default=(), description="Cautions of this crop, beside those always shown.")
    also_rows: tuple[RowId, ...] = Field(default=(), description="Rows shown on the crop page only.")
    gaps: tuple[Gap, ...] = Field(default=(), description="Stages without a protocol, and why.")
    protocols: tuple[Protocol, ...] = Field(
        default=(), description="What to take, one entry for each window, in stage order."
    )
    retired: tuple[Retired, ...] = Field(default=(), description="Protocols that were published and are no more.")
    development: tuple[Development, ...] = Field(default=(), description="When it reaches its stages, where published.")
