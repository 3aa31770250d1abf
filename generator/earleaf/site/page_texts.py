"""What is read on a page, text by text, for scoring: sentences a reader reads as prose, and nothing else.

Headings of handouts and cards are left out: they are the same on every page, and so short that they would only flatter
it. So are sources, what published rows print, dates, and what is to be filled in.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, fields, is_dataclass

from ..language.sentences import unmarked
from ..views.calendar import CalendarPage
from ..views.card import Card
from ..views.handout import Handout
from ..views.lines import Line
from ..views.pages import StageGuide
from .chapters import Chapter

Place = tuple[str, int]
"""File and line."""


@dataclass(frozen=True)
class Piece:
    """One text of a page: which part of the page it stands in, and its file and line where that is known."""

    text: str
    part: str
    place: Place = ("", 0)


def handout_pieces(h: Handout) -> Iterator[Piece]:
    """What a scout reads on a handout; not its headings, its sources, or what published rows print."""
    for take in h.takes:
        yield from (Piece(text, "take") for text in (take.what.text, take.find, take.walk.text) if text)
        yield from (Piece(text, "wrong-leaf") for text in (take.too_young, take.too_old) if text)
    yield Piece(h.hour.text, "hour")
    yield from (Piece(line.text, "stage") for line in h.see)
    if h.tell_apart:
        yield Piece(h.tell_apart.text, "stage")
    yield from (Piece(look.text, "stage") for _, _, look in h.stages)
    yield from (Piece(line.text, s.id) for s in (*h.steps, *h.later) for line in s.lines)
    for fault in h.faults:
        yield from (Piece(fault.fault, "ruined"), Piece(fault.then, "ruined"))
    yield from (Piece(line.text, "notes") for line in h.notes)
    yield from (Piece(line.text, "result") for line in h.result)
    yield from (Piece(line.text, "cautions") for line in h.cautions)
    yield Piece(h.caution_footer, "cautions")


def card_pieces(c: Card) -> Iterator[Piece]:
    """What a scout reads on a card; not its title, its footer, or what is to be filled in."""
    take = c.take
    yield Piece(" ".join(filter(None, (take.part, take.stalk))), "take")
    yield Piece(" ".join(filter(None, (take.count, take.where))), "take")
    yield from (Piece(line, "take") for line in c.also)
    yield from (Piece(step, "step") for pause in c.pauses for step in pause.steps)
    yield from (Piece(name, "ruined") for name in c.ruined.split(", "))


def guide_pieces(g: StageGuide) -> Iterator[Piece]:
    """How to count, the traps and every stage of a stage guide."""
    return (Piece(line.text, "stage") for line in _lines(g))


def calendar_pieces(c: CalendarPage) -> Iterator[Piece]:
    """The sentences of a calendar; not its dates."""
    for season in c.seasons:
        yield Piece(season.weather, "weather")
        yield from (Piece(line.text, "lines") for line in _lines(season))


def _lines(view: object) -> Iterator[Line]:
    """Every line inside a view, however deep."""
    if isinstance(view, Line):
        yield view
    elif isinstance(view, tuple):
        for item in view:
            yield from _lines(item)
    elif is_dataclass(view):
        for f in fields(view):
            yield from _lines(getattr(view, f.name))


BLOCK = re.compile(r"\s*(?:#+|[-*+]|\d+\.)\s+")
RULED = re.compile(r"\s*\|[\s|:-]+\|?\s*$")


def chapter_pieces(chapter: Chapter) -> Iterator[Piece]:
    """Headings, paragraphs, items and cells of a chapter, each with its line; not the tables that are filled in."""
    text = re.sub(r"<!--.*?-->", lambda m: "\n" * m.group(0).count("\n"), chapter.text, flags=re.S)
    block: list[str] = []
    start = 0
    for number, line in enumerate([*text.splitlines(), ""], 1):
        cells = line.lstrip().startswith("|")
        if block and (cells or not line.strip() or BLOCK.match(line)):
            yield Piece(unmarked(" ".join(block)), "text", (chapter.file, start))
            block = []
        if cells:
            said = [] if RULED.match(line) else line.strip(" |").split("|")
            yield from (Piece(unmarked(cell.strip()), "table", (chapter.file, number)) for cell in said if cell.strip())
        elif line.strip() and not (line.startswith("    ") and not block):
            start = start if block else number
            block.append(BLOCK.sub("", line, count=1).strip() if not block else line.strip())
