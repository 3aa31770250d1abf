"""A crop and its protocols: what to take, when, and how many."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from .base import Id, MonthDay, Record, RowId, Said, SourceIds, Text
from .development import Development
from .stages import Code
from .vocabulary import Handling, HandlingTopic

ShortId = Annotated[str, StringConstraints(pattern=r"^[a-z2-9]{4}$")]
ProtocolName = Annotated[str, StringConstraints(pattern=r"^[a-z0-9-]+/[a-z0-9-]+$", max_length=121)]
Petiole = Literal["keep", "remove", "part", "only", "none"]


class Window(Record):
    """A span of growth stages, both ends included, in the crop's own stage system."""

    first: Code = Field(alias="from")
    last: Code = Field(alias="to")


class Dates(Record):
    """A span of the calendar that a source prints. Month-day, both ends included."""

    first: MonthDay = Field(alias="from")
    last: MonthDay = Field(alias="to")
    hemisphere: Literal["north", "south"]
    source: SourceIds = Field(min_length=1)


class After(Record):
    """Days counted from an event that the grower can see."""

    event: Text = Field(description="Such as 'full bloom'; it reads after the words 'days after'.")
    days_from: int = Field(ge=0, le=400)
    days_to: int = Field(ge=0, le=400)
    source: SourceIds = Field(min_length=1)


class Count(Record):
    """How many make one sample, as the sources print it."""

    min: float = Field(gt=0, le=5000)
    max: float | None = Field(default=None, gt=0, le=5000)
    unit: Id
    source: SourceIds = Field(default=(), description="Only where no basis row gives a count.")


class Spots(Record):
    """The same count as a scout walks it: `each` at every one of `number` spots."""

    number: int = Field(ge=1, le=100)
    each: int = Field(ge=1, le=200)
    source: SourceIds = Field(default=("common-practice",))


class Specimen(Record):
    """One bag's worth: a part, how many, and the published rows it rests on."""

    kind: Literal["tissue", "petiole", "row section", "stalk", "clippings", "sap"] = "tissue"
    part: Id | None = Field(default=None, description="Left out where no source read names the part.")
    petiole: Petiole | None = None
    count: Count | None = None
    spots: Spots | None = None
    how: tuple[Said, ...] = Field(default=(), description="How to take it here, one idea a line.")
    basis: tuple[RowId, ...] = Field(default=())


class Accepted(Record):
    """Another part that a source takes in its place."""

    part: Id
    basis: tuple[RowId, ...] = Field(min_length=1)


class CardLines(Record):
    """Short lines of a protocol for the pocket card. What is left out is taken from the handout's first lines."""

    title: Text | None = Field(default=None, description="The stage in fewer words, where `title` is long.")
    see: Said | None = Field(default=None, description="The stage check in one line.")
    how: tuple[Said, ...] = Field(default=(), max_length=2, description="How to take it, in one line or two.")


class Change(Record):
    """What a new version changed, for the scout who still holds the old card."""

    version: int = Field(ge=2)
    on: date
    what: Said


class Retired(Record):
    """A protocol that is no more: its addresses stay, and say so."""

    protocol: Id
    title: Text
    short_id: ShortId
    on: date
    why: Said
    replaced_by: ProtocolName | None = Field(
        default=None, description="As crop/protocol; left out where nothing takes its place."
    )


class Protocol(Record):
    """What to take from one crop at one stage."""

    protocol: Id
    title: Text = Field(description="The stage in the scout's words; reads after the crop: 'tassel to silk'.")
    short_id: ShortId = Field(description="Printed on cards and never used again for anything else.")
    aliases: tuple[Id, ...] = Field(default=(), description="Ids this protocol had before.")
    version: int = Field(default=1, ge=1)
    changes: tuple[Change, ...] = Field(default=(), description="One for each version after the first, in order.")
    checked_on: date
    use: Literal["tissue", "petiole nitrate", "stalk nitrate", "sap nitrate", "harvest timing"] = "tissue"
    window: Window
    dates: tuple[Dates, ...] = ()
    after: tuple[After, ...] = ()
    see: tuple[Said, ...] = Field(min_length=1, description="What the scout sees when this is the handout.")
    tell_apart: Said | None = Field(default=None, description="Needed where windows of one crop overlap.")
    take: tuple[Specimen, ...] = Field(min_length=1)
    also_accepted: tuple[Accepted, ...] = ()
    differs: tuple[RowId, ...] = Field(default=(), description="Rows that concern this page and say otherwise.")
    card: CardLines = CardLines()
    notes: tuple[Said, ...] = ()
    result: tuple[Said, ...] = Field(default=(), description="What a result can and cannot tell here.")
    handling: dict[HandlingTopic, Handling] = Field(default={})
    cautions: tuple[Id, ...] = ()


class Gap(Record):
    """Stages between protocols where no source read gives a protocol, said openly."""

    first: Code = Field(alias="from")
    last: Code = Field(alias="to")
    why: Said


class Crop(Record):
    """A crop, its stage system, and everything published about taking its tissue."""

    crop: Id
    name: Text
    card: Text | None = Field(default=None, description="A shorter name for the pocket card, where `name` is long.")
    also_called: tuple[Text, ...] = ()
    latin: Text
    group: Id
    stage_system: Id
    other_systems: tuple[Id, ...] = Field(default=(), description="Other scales in use: guides only, no windows.")
    form: Literal["grass", "broadleaf", "rosette", "vine", "tree", "bush", "turf"] = "broadleaf"
    spot: Id | None = Field(default=None, description="As in the group, where this crop differs.")
    aliases: tuple[Id, ...] = ()
    about: Said | None = None
    thin: Said | None = Field(default=None, description="Why little is published here, where that is so.")
    handling: dict[HandlingTopic, Handling] = Field(default={})
    cautions: tuple[Id, ...] = ()
    also_rows: tuple[RowId, ...] = Field(default=(), description="Rows shown on the crop page only.")
    gaps: tuple[Gap, ...] = ()
    protocols: tuple[Protocol, ...] = ()
    retired: tuple[Retired, ...] = Field(default=(), description="Protocols that were published and are no more.")
    development: tuple[Development, ...] = Field(default=(), description="When it reaches its stages, where published.")
