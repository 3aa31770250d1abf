"""Two things set side by side, in words: a published row and the page; a lab and the base."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from ..database.load import Database
from ..model.crop import Count, Spots, Window
from ..model.evidence import HandlingRow, SamplingRow
from ..model.source import COMMON_PRACTICE, Source
from ..model.vocabulary import Handling
from ..planning.compare import Compared
from ..planning.localise import Change, LocalProtocol
from .common import count_text, part_name, stage_span
from .words import Words, capital

TOPIC_NAMES = {
    "spots": "Where",
    "plants": "Which plants",
    "pairs": "Good and poor spots",
    "clean": "Clean leaves",
    "spray": "Spray",
    "hour": "Hour",
    "bag": "Bag",
    "wash": "Washing",
    "dry": "Drying",
    "pack": "Packing",
    "hold": "Keeping",
    "mail": "Mailing",
    "soil": "Soil sample",
    "record": "Record",
    "repeat": "Coming back",
    "area": "Area",
    "material": "How much",
    "mix": "Parts together or apart",
    "part": "Plant part",
    "petiole": "Leaf stalk",
    "count": "How many",
    "spots-walk": "How to walk it",
    "window": "Stage",
}
PETIOLE_WORDS = {
    "keep": "Keep the leaf stalk (petiole) on.",
    "remove": "Take the leaf stalk (petiole) off.",
    "part": "Part the blade and the leaf stalk at once. Send both.",
    "only": "Keep only the leaf stalk (petiole).",
    "none": "This leaf has no stalk.",
}


BOUNDS = {"min": " (at least {value} {unit})", "max": " (at most {value} {unit})"}
"""What the last word of a unit says of a published figure."""


@dataclass(frozen=True)
class Published:
    """A published row as the table shows it."""

    row: str
    source: str
    who: str
    stage: str
    part: str
    count: str
    agrees: bool
    verdict: str
    note: str


@dataclass(frozen=True)
class Changed:
    """A difference of the lab, in words."""

    topic: str
    base: str
    lab: str
    sources: str
    checked_on: str


def value_text(db: Database, words: Words, key: str, value: object) -> str:
    """A changed value, in words."""
    if value is None:
        return words.say("not stated by source")
    if key == "part":
        return capital(part_name(db, words, str(value)))
    if isinstance(value, Count):
        return capital(count_text(words, value))
    if isinstance(value, Spots):
        return words.say("{each} at each of {n} spots", each=value.each, n=value.number)
    if isinstance(value, Handling):
        return " ".join(words.say(line.say) for line in value.say)
    return words.say(PETIOLE_WORDS.get(str(value), str(value)))


def changed(db: Database, words: Words, local: LocalProtocol, change: Change) -> Changed:
    topic = "spots-walk" if isinstance(change.after, Spots) else change.key
    day = change.origin.checked_on
    before, after = (
        stage_span(db, words, local.crop.stage_system, value.first, value.last)
        if isinstance(value, Window)
        else value_text(db, words, change.key, value)
        for value in (change.before, change.after)
    )
    return Changed(
        words.say(TOPIC_NAMES[topic]),
        before,
        after,
        " ".join(change.origin.sources),
        words.day(day) if day else words.say("not stated"),
    )


def publisher(words: Words, source: Source | None, source_id: str) -> str:
    """Who says so, in a table of published rows."""
    if source_id == COMMON_PRACTICE:
        return words.say("Trade practice")
    return source.publisher if source else source_id


def rule_figure(words: Words, row: HandlingRow) -> str:
    """' (at least 14 days)' after a published rule, where the rule itself does not say the figure."""
    if not row.unit or not row.value or row.value in row.rule:
        return ""
    unit, _, bound = row.unit.rpartition(" ")
    sentence = BOUNDS.get(bound, " ({value} {unit})")
    unit = (unit if bound in BOUNDS else row.unit).replace("deg ", "°")
    ends = re.fullmatch(r"([\d.]+)-([\d.]+)", row.value)
    value = words.span(*map(float, ends.groups())) if ends else words.say(row.value)
    return words.say(sentence, value=value, unit=words.say(unit))


def row_only(db: Database, words: Words, row: SamplingRow) -> Published:
    """A published row in words, beside no page."""
    count = words.say("not stated")
    if row.count_min is not None and row.count_unit is not None:
        last = row.count_max if row.count_max is not None else row.count_min
        count = words.say(
            "{n} {unit}",
            n=words.span(row.count_min, row.count_max or row.count_min),
            unit=words.unit(row.count_unit, last),
        )
        if "minimum" in (row.note or ""):
            count = words.say("{count} or more", count=count)
    source = db.sources.get(row.source)
    return Published(
        row=row.row,
        source=row.source,
        who=publisher(words, source, row.source),
        stage=words.say(row.stage_text),
        part=part_name(db, words, row.part) if row.part else words.say("not stated"),
        count=count,
        agrees=True,
        verdict="",
        note=words.say(row.condition) if row.condition else "",
    )


def published_row(db: Database, words: Words, compared: Compared) -> Published:
    """A published row in words, and how it stands to the page."""
    what = words.listing(words.say(name) for name in compared.differs_in)
    verdict = words.say("Same") if compared.agrees else words.say("Differs: {what}", what=what)
    return replace(row_only(db, words, compared.row), agrees=compared.agrees, verdict=verdict)
