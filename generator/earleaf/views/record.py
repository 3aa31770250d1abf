"""The field record: one page for one sample, with a place for everything that gives a result its meaning."""

from __future__ import annotations

from dataclasses import dataclass

from ..model.lab import Lab
from .words import Words


@dataclass(frozen=True)
class Box:
    """A place to write. `wide` counts twelfths of the page; `choices` are ticked instead of written."""

    label: str
    wide: int
    choices: tuple[str, ...] = ()
    cells: int = 0
    tall: bool = False


@dataclass(frozen=True)
class Group:
    """A heading and its boxes."""

    title: str
    boxes: tuple[Box, ...]


@dataclass(frozen=True)
class Record:
    """Everything on the sheet. `cells` of a box are the characters a lab reads of a sample name."""

    name: str
    language: str
    title: str
    lab: str
    hint: str
    groups: tuple[Group, ...]
    footer: str


MOST_CELLS = 16


def record(words: Words, lab: Lab | None) -> Record:
    """The sheet for one lab, or for any."""
    say = words.say
    limit = lab.sample_id.max_length if lab and lab.sample_id else None
    name = say("Sample name")
    if limit:
        name = say("Sample name ({n} characters at most)", n=limit)
    cells = limit if limit and limit <= MOST_CELLS else 0
    yes_no = (say("yes"), say("no"))
    return Record(
        name="record" + (f"-{lab.lab}" if lab else ""),
        language=words.about.language,
        title=say("Field record"),
        lab=lab.name if lab else say("Any lab: ask first"),
        hint=say("One sheet for each bag. Fill it in at the spot. Use pencil."),
        groups=(
            Group(
                say("Names"),
                (
                    Box(name, 12 if cells else 6, cells=cells),
                    Box(say("Soil sample that goes with it"), 6),
                    Box(say("Mate: the good or poor partner"), 6),
                    Box(
                        say("Why"),
                        12 if cells else 6,
                        (say("watch the crop"), say("find a problem"), say("steer feeding")),
                    ),
                ),
            ),
            Group(
                say("Who, where, when"),
                (
                    Box(say("Grower, farm and field"), 6),
                    Box(say("Spot: how to find it again"), 6),
                    Box(say("Scout"), 4),
                    Box(say("Date"), 4),
                    Box(say("Hour"), 4),
                ),
            ),
            Group(
                say("The crop"),
                (
                    Box(say("Crop and variety"), 5),
                    Box(say("Planted on"), 3),
                    Box(say("Height"), 2),
                    Box(say("Stage seen"), 2),
                    Box(say("This spot looks"), 5, (say("good"), say("poor"), say("average"))),
                    Box(say("What it looks like, and where in the field"), 7),
                ),
            ),
            Group(
                say("The sample"),
                (
                    Box(say("Part taken"), 5),
                    Box(say("How many, at how many spots"), 4),
                    Box(say("Card"), 3),
                    Box(say("Washed"), 3, yes_no),
                    Box(say("Dried"), 3, yes_no),
                    Box(say("Held cold"), 3, yes_no),
                    Box(say("Sent on"), 3),
                ),
            ),
            Group(
                say("What may have changed the result"),
                (
                    Box(say("Weather: drought, wet, heat, cold, since when"), 12),
                    Box(say("Sprays and leaf feeds: what and when"), 12, tall=True),
                    Box(say("Disease, insects, injury"), 6),
                    Box(say("Fertilizer, lime or manure: what and when"), 6),
                ),
            ),
        ),
        footer=say("Keep this sheet with the result. The lab gets its own form, with the same names."),
    )
