"""The words a protocol may use: plant parts, count units, cautions."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from .base import Id, Record, Said, SourceIds, Text


class Part(Record):
    """A plant part that can go in the bag."""

    id: Id = Field(description="Its id; never renamed.")
    name: Text = Field(description="As a scout says it, with its article: 'the ear leaf'.")
    family: Id = Field(description="Parts of one family are close enough to be mistaken for each other.")
    portion: Text = Field(description="What goes in the bag.")
    find: Text = Field(description="How to find it on the plant.")
    item: Id = Field(description="What one of them is counted as: leaves, petioles, plants ...")
    too_young: Text | None = Field(default=None, description="How a part gives itself away that is too young.")
    too_old: Text | None = Field(default=None, description="How a part gives itself away that is too old.")
    card: Text | None = Field(default=None, description="A shorter name for the pocket card, where `name` is long.")
    also_called: tuple[Text, ...] = Field(default=(), description="Other names for it.")
    drawn_as: Id | None = Field(default=None, description="Another part whose drawings show this one too.")


class PartFile(Record):
    parts: tuple[Part, ...] = Field(description="The plant parts.")


class Unit(Record):
    """What is counted. `per_plant` items come one from a plant, so a count of plants is a count of them."""

    id: Id = Field(description="Its id; counts and parts name it.")
    one: Text = Field(description="The word for one.")
    many: Text = Field(description="The word for more than one.")


class UnitFile(Record):
    units: tuple[Unit, ...] = Field(description="What can be counted.")


class Caution(Record):
    """A line about people's safety. It never says that entry or treatment is allowed."""

    id: Id = Field(description="Its id; crops and groups name it.")
    topic: Text = Field(description="What it is about, in a word or two.")
    do: Text = Field(description="What to do, in one line.")
    why: Text | None = Field(default=None, description="Why, in one line.")
    card: Text | None = Field(default=None, description="The same in one short line, for the pocket card.")
    source: SourceIds = Field(description="Who says so.")


class CautionFile(Record):
    footer: Text = Field(description="The line below all cautions.")
    cautions: tuple[Caution, ...] = Field(description="The cautions.")
    always: tuple[Id, ...] = Field(description="Shown on every handout; others are named by crop or protocol.")


HandlingTopic = Literal[
    "spots",
    "plants",
    "pairs",
    "clean",
    "spray",
    "hour",
    "bag",
    "wash",
    "dry",
    "pack",
    "hold",
    "mail",
    "soil",
    "record",
    "repeat",
    "area",
    "material",
    "mix",
]


class Handling(Record):
    """What is done about one topic: the sentences, and the published rows for and against."""

    value: Text | None = Field(default=None, description="One word for comparing labs: paper, plastic, wash ...")
    say: tuple[Said, ...] = Field(min_length=1, description="What to do, one idea a line.")
    card: Said | None = Field(default=None, description="The rule in one short line, for the pocket card.")
    days: int | None = Field(
        default=None, ge=0, le=14, description="Drying: days it takes; for fresh samples, days to get there in."
    )
    basis: tuple[str, ...] = Field(default=(), description="Handling rows that say the same.")
    differs: tuple[str, ...] = Field(default=(), description="Handling rows that say something else.")


class HandlingFile(Record):
    handling: dict[HandlingTopic, Handling] = Field(description="The base rule of each topic.")


class Group(Record):
    """Crops that share rules. A rule said here is not repeated in the crop files."""

    group: Id = Field(description="Its id; the same as the file name.")
    name: Text = Field(description="The name of the group.")
    about: Said | None = Field(default=None, description="One sentence on the group.")
    spot: Id = Field(default="spots", description="What a spot is called here: an id of units.yml, such as trees.")
    handling: dict[HandlingTopic, Handling] = Field(
        default={}, description="Rules of this group, in place of the base rules of those topics."
    )
    cautions: tuple[Id, ...] = Field(
        default=(), description="Cautions for every crop of the group, beside those always shown."
    )


class Fault(Record):
    """What makes a sample worthless, and what to do then."""

    id: Id = Field(description="Its id; never renamed.")
    fault: Text = Field(description="What went wrong.")
    then: Text = Field(description="What to do then.")
    card: Text | None = Field(default=None, description="In two words or three, for the pocket card.")
    source: SourceIds = Field(description="Who says so.")


class FaultFile(Record):
    faults: tuple[Fault, ...] = Field(description="What makes a sample worthless.")
