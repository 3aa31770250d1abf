"""What one lab wants done otherwise. A lab file says only what differs from the base."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from .base import Id, Record, Said, SourceIds, Text
from .crop import CardLines, Count, Petiole, Spots, Window
from .vocabulary import Handling, HandlingTopic

Day = Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"]
Clock = Annotated[str, StringConstraints(pattern=r"^([01][0-9]|2[0-3]):[0-5][0-9]$")]


class LabFact(Record):
    """A dated, sourced fact. Source and date fall back to those at the top of the lab file."""

    source: SourceIds = ()
    checked_on: date | None = None


class Receives(LabFact):
    days: tuple[Day, ...] = Field(min_length=1)
    until: Clock | None = None


class Closed(LabFact):
    first: date = Field(alias="from")
    last: date = Field(alias="to")
    why: Text


class Transit(LabFact):
    days_min: int = Field(ge=0, le=30)
    days_max: int = Field(ge=0, le=30)


class Turnaround(LabFact):
    days_min: int = Field(ge=0, le=90)
    days_max: int = Field(ge=0, le=90)
    working_days: bool = True


class Fee(LabFact):
    amount: float = Field(ge=0)
    currency: Annotated[str, StringConstraints(pattern=r"^[A-Z]{3}$")]
    per: Text = "sample"


class SampleId(LabFact):
    max_length: int = Field(ge=1, le=60)


class Material(LabFact):
    say: Text


class FormFields(LabFact):
    fields: tuple[Text, ...] = Field(min_length=1)


class LabHandling(Handling):
    """A handling rule of this lab, in place of the base rule of that topic."""

    source: SourceIds = ()
    checked_on: date | None = None


class LabProtocol(LabFact):
    """What this lab wants at one crop and stage, where it differs."""

    crop: Id
    protocol: Id
    part: Id | None = None
    petiole: Petiole | None = None
    count: Count | None = None
    spots: Spots | None = None
    window: Window | None = None
    say: tuple[Said, ...] = ()
    card: CardLines = CardLines()


class Lab(Record):
    """A lab, as a set of dated differences from the base protocols."""

    lab: Id
    name: Text
    place: Text | None = None
    invented: bool = False
    aliases: tuple[Id, ...] = ()
    source: SourceIds = Field(default=(), description="For every fact below that names none of its own.")
    checked_on: date | None = Field(default=None, description="As for source.")
    about: Said | None = None
    receives: Receives | None = None
    closed: tuple[Closed, ...] = ()
    transit: Transit | None = None
    turnaround: Turnaround | None = None
    sample_id: SampleId | None = None
    material: Material | None = None
    fee: Fee | None = None
    form: FormFields | None = None
    handling: dict[HandlingTopic, LabHandling] = Field(default={})
    protocols: tuple[LabProtocol, ...] = ()
