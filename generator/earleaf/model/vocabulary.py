"""The words a protocol may use: plant parts, count units, cautions."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from .base import Id, Record, Said, SourceIds, Text


class Part(Record):
    """A plant part that can go in the bag."""

    id: Id
    name: Text = Field(description="As a scout says it, with its article: 'the ear leaf'.")
    family: Id = Field(description="Parts of one family are close enough to be mistaken for each other.")
    portion: Text = Field(description="What goes in the bag.")
    find: Text = Field(description="How to find it on the plant.")
    item: Id = Field(description="What one of them is counted as: leaves, petioles, plants ...")
    too_young: Text | None = None
    too_old: Text | None = None
    card: Text | None = Field(default=None, description="A shorter name for the pocket card, where `name` is long.")
    also_called: tuple[Text, ...] = ()
    drawn_as: Id | None = Field(default=None, description="Another part whose drawings show this one too.")


class PartFile(Record):
    parts: tuple[Part, ...]


class Unit(Record):
    """What is counted. `per_plant` items come one from a plant, so a count of plants is a count of them."""

    id: Id
    one: Text
    many: Text


class UnitFile(Record):
    units: tuple[Unit, ...]


class Caution(Record):
    """A line about people's safety. It never says that entry or treatment is allowed."""

    id: Id
    topic: Text
    do: Text
    why: Text | None = None
    card: Text | None = Field(default=None, description="The same in one short line, for the pocket card.")
    where: Literal["card", "handout"]
    audience: Literal["everyone", "scouts"] = "everyone"
    source: SourceIds


class CautionFile(Record):
    footer: Text
    cautions: tuple[Caution, ...]
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
    say: tuple[Said, ...] = Field(min_length=1)
    card: Said | None = Field(default=None, description="The rule in one short line, for the pocket card.")
    days: int | None = Field(
        default=None, ge=0, le=14, description="Drying: days it takes; for fresh samples, days to get there in."
    )
    basis: tuple[str, ...] = Field(default=(), description="Handling rows that say the same.")
    differs: tuple[str, ...] = Field(default=(), description="Handling rows that say something else.")


class HandlingFile(Record):
    handling: dict[HandlingTopic, Handling]


class Group(Record):
    """Crops that share rules. A rule said here is not repeated in the crop files."""

    group: Id
    name: Text
    about: Said | None = None
    spot: Id = Field(default="spots", description="What a spot is called here: an id of units.yml, such as trees.")
    handling: dict[HandlingTopic, Handling] = Field(default={})
    cautions: tuple[Id, ...] = ()


class Fault(Record):
    """What makes a sample worthless, and what to do then."""

    id: Id
    fault: Text
    then: Text
    card: Text | None = Field(default=None, description="In two words or three, for the pocket card.")
    source: SourceIds


class FaultFile(Record):
    faults: tuple[Fault, ...]
