"""What one lab wants done otherwise. A lab file says only what differs from the base."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from .base import Id, IsoDay, Record, Said, SourceIds, Text
from .crop import CardLines, Count, Petiole, Spots, Window
from .vocabulary import Handling, HandlingTopic

Day = Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"]
Clock = Annotated[str, StringConstraints(pattern=r"^([01][0-9]|2[0-3]):[0-5][0-9]$")]


class LabFact(Record):
    """A dated, sourced fact. Source and date fall back to those at the top of the lab file."""

    source: SourceIds = Field(default=(), description="Who says so; as at the top of the file if left out.")
    checked_on: IsoDay | None = Field(
        default=None, description="When you asked; as at the top of the file if left out."
    )


class Receives(LabFact):
    days: tuple[Day, ...] = Field(min_length=1, description="Days of the week on which samples are taken in.")
    until: Clock | None = Field(default=None, description="The hour, such as 16:00, by which they must be there.")


class Closed(LabFact):
    first: IsoDay = Field(alias="from", description="The first day closed.")
    last: IsoDay = Field(alias="to", description="The last day closed.")
    why: Text = Field(description="Why; it is shown to the scout.")


class Transit(LabFact):
    days_min: int = Field(ge=0, le=30, description="The fewest days in the mail.")
    days_max: int = Field(ge=0, le=30, description="The most days in the mail.")


class Turnaround(LabFact):
    days_min: int = Field(ge=0, le=90, description="The fewest days to a result.")
    days_max: int = Field(ge=0, le=90, description="The most days to a result.")
    working_days: bool = Field(default=True, description="True: weekends and closed days do not count.")


class Fee(LabFact):
    amount: float = Field(ge=0, description="What it costs.")
    currency: Annotated[str, StringConstraints(pattern=r"^[A-Z]{3}$")] = Field(
        description="Three letters, such as USD."
    )
    per: Text = Field(default="sample", description="What the fee is for.")


class SampleId(LabFact):
    max_length: int = Field(ge=1, le=60, description="The most characters on the bag and in the form.")


class Material(LabFact):
    say: Text = Field(description="What the lab wants: fresh, dried or ground.")


class FormFields(LabFact):
    fields: tuple[Text, ...] = Field(min_length=1, description="What its form asks for, in its order.")


class LabHandling(Handling):
    """A handling rule of this lab, in place of the base rule of that topic."""

    source: SourceIds = Field(default=(), description="Who says so; as at the top of the file if left out.")
    checked_on: IsoDay | None = Field(
        default=None, description="When you asked; as at the top of the file if left out."
    )


class LabProtocol(LabFact):
    """What this lab wants at one crop and stage, where it differs."""

    crop: Id = Field(description="The id of the crop.")
    protocol: Id = Field(description="The id of the protocol within it.")
    part: Id | None = Field(default=None, description="Another part: an id of plant-parts.yml.")
    petiole: Petiole | None = Field(default=None, description="Something else done with the leaf stalk.")
    count: Count | None = Field(default=None, description="Another count.")
    spots: Spots | None = Field(default=None, description="Another walk.")
    window: Window | None = Field(default=None, description="Another window.")
    say: tuple[Said, ...] = Field(
        default=(), description="What the lab says in words; needed where part or stalk change."
    )
    card: CardLines = Field(default=CardLines(), description="Short lines for the pocket card.")


class Lab(Record):
    """A lab, as a set of dated differences from the base protocols."""

    lab: Id = Field(description="Its id; the same as the file name.")
    name: Text = Field(description="The name of the lab.")
    place: Text | None = Field(default=None, description="Where it is.")
    invented: bool = Field(default=False, description="True for a demonstration: shown on every page.")
    aliases: tuple[Id, ...] = Field(default=(), description="Ids this lab had before.")
    source: SourceIds = Field(default=(), description="For every fact below that names none of its own.")
    checked_on: IsoDay | None = Field(default=None, description="As for source.")
    about: Said | None = Field(default=None, description="One sentence on the lab.")
    receives: Receives | None = Field(default=None, description="When it takes samples in.")
    closed: tuple[Closed, ...] = Field(default=(), description="When it is closed.")
    transit: Transit | None = Field(default=None, description="How long the mail takes.")
    turnaround: Turnaround | None = Field(default=None, description="How long a result takes.")
    sample_id: SampleId | None = Field(default=None, description="How long a sample name may be.")
    material: Material | None = Field(default=None, description="Fresh, dried or ground.")
    fee: Fee | None = Field(default=None, description="What a sample costs.")
    form: FormFields | None = Field(default=None, description="What its form asks for.")
    handling: dict[HandlingTopic, LabHandling] = Field(
        default={}, description="Its rules, in place of the base rules of those topics."
    )
    protocols: tuple[LabProtocol, ...] = Field(default=(), description="What it wants otherwise at one crop and stage.")
