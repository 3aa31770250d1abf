"""How tall an embed is, told from its words, for no browser runs at build time.

The rule: lay the words out line by line, with letters as wide as those of the widest usual system font. A phone with
a narrower font then has a little room left, and none cuts anything off. The figures follow `embed.css`, in CSS pixels.
`tests/browser/test_embeds_in_a_host_page.py` holds every result against a browser.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from math import ceil
from unicodedata import normalize

from ..rendering.snippets import WIDEST, Height, Thumbnail
from ..views.calendar import SeasonView
from ..views.embed import Frame, HandoutFacts
from ..views.handout import Handout, Take

NARROWEST = 320
COLUMNS_FROM = 480
WIDTHS = (*range(NARROWEST, WIDEST + 1, 16), COLUMNS_FROM - 1)
"""At these the height is worked out; just before the columns begin, it jumps."""
LABEL, GAP, BULLET, DRAWING, SIDE = 128, 12, 20, 256, 296
"""The column of names, the room between columns and before an item, the tallest drawing, the card or chart beside."""
BY_WIDTH = {
    0.34: " .,'ijlI|",
    0.41: "-/\\:;()[]fJ!",
    0.43: "rt",
    0.56: '"*szc?_`–°',
    0.62: "FLkvxyTao",
    0.65: "ESbdeghnpqu$0123456789{}P",
    0.71: "KAVBRXZC",
    0.8: "HNUDGOQ&",
    0.87: "w#+<=>^~M×",
    1.0: "mW%@—…",
}
"""Widths of letters in parts of the letter size, rounded up from DejaVu Sans, which is as wide as Verdana."""
WIDTH = {letter: width for width, letters in BY_WIDTH.items() for letter in letters}
WIDEST_LETTER = 1.0
BOLD = 1.15
VIEW_BOX = re.compile(r'viewBox="[-\d.]+ [-\d.]+ ([\d.]+) ([\d.]+)"')


@dataclass(frozen=True)
class Type:
    """Letters of one kind: size, line height in parts of the size, and weight."""

    size: float
    line: float
    bold: bool = False

    def height(self, text: str, width: float) -> float:
        return lines(text, width / self.size / (BOLD if self.bold else 1)) * self.size * self.line


TITLE, HEADING, BODY = Type(20, 1.25, True), Type(15, 1.4, True), Type(16, 1.4)
WHAT, COUNT, STRONG, SMALL = Type(22, 1.15, True), Type(20, 1.2, True), Type(16, 1.4, True), Type(14, 1.4)


@lru_cache(maxsize=100_000)
def lines(text: str, width: float) -> int:
    """Lines of a text in a column, its width in parts of the letter size; a word too long for a line is broken."""
    count, used = 1, 0.0
    for word in _words(text):
        if used and used + WIDTH[" "] + word <= width:
            used += WIDTH[" "] + word
            continue
        count += (1 if used else 0) + max(0, ceil(word / width) - 1)
        used = word if word <= width else word % width
    return count


@lru_cache(maxsize=20_000)
def _words(text: str) -> tuple[float, ...]:
    """The width of each word."""
    return tuple(sum(map(_letter, word)) for word in text.split())


@cache
def _letter(letter: str) -> float:
    """The width of a letter; an accent adds nothing to it."""
    return WIDTH.get(letter) or WIDTH.get(normalize("NFD", letter)[0], WIDEST_LETTER)


def fitted(height: Callable[[float], float]) -> Height:
    """The heights to state for a layout: a straight line from narrow to wide that is nowhere lower than the layout."""
    heights = {width: height(width) for width in WIDTHS}
    wide = heights[WIDEST]
    fall = max(0.0, heights[NARROWEST] - wide) / (WIDEST - NARROWEST)
    lift = max(tall - (wide + fall * (WIDEST - width)) for width, tall in heights.items())
    return Height(ceil(wide + fall * (WIDEST - NARROWEST) + lift), ceil(wide + lift))


def handout_height(frame: Frame, h: Handout, e: HandoutFacts, drawings: Sequence[str]) -> Height:
    """The height of the facts of a handout, with the drawing of each bag or "" where there is none."""

    def at(width: float) -> float:
        room, columns = _inside(width), width >= COLUMNS_FROM
        rows = [
            sum(BODY.height(line.text, _row(room, columns) - (BULLET if len(all_) > 1 else 0)) for line in all_)
            for _, all_ in e.rows
        ]
        heads = [HEADING.height(name, LABEL if columns else room) for name, _ in e.rows]
        facts = sum(8 + _beside(head, row, columns) for head, row in zip(heads, rows, strict=True))
        asks = sum(12 + _ask(take, drawing, room) for take, drawing in zip(h.takes, drawings, strict=True))
        safe = BODY.height(e.safe.text, room - 24) + STRONG.height(e.follow, room - 24)
        note = 24 + HEADING.height("Stay safe", room) + safe
        return _head(h.title, e.under, room) + asks + facts + note + _foot(frame, room)

    return fitted(at)


def calendar_height(
    frame: Frame, title: str, intro: str, seasons: Sequence[SeasonView], charts: Sequence[str]
) -> Height:
    """The height of the charts of a crop, side by side where there is room."""

    def at(width: float) -> float:
        room, columns = _inside(width), width >= COLUMNS_FROM
        text = room - SIDE - GAP if columns else room
        texts = [HEADING.height(s.title, text) + BODY.height(s.weather, text) for s in seasons]
        drawn = [ceil(_ratio(chart) * min(SIDE, room)) for chart in charts]
        sides = sum(12 + _side(one, two, columns) for one, two in zip(texts, drawn, strict=True))
        return _head(title, "", room) + 8 + BODY.height(intro, room) + sides + _foot(frame, room)

    return fitted(at)


def card_height(frame: Frame, title: str, pdf: str, picture: Thumbnail) -> Height:
    """The height of the picture of a card at its real size, with a link under it, or beside it where there is room."""

    def at(width: float) -> float:
        room, columns = _inside(width), width >= COLUMNS_FROM
        tall = ceil((min(SIDE, room) - 2) * picture.height / picture.width) + 2
        link = BODY.height(pdf, room - SIDE - GAP if columns else room)
        return _head(title, "", room) + 12 + _side(tall, link, columns) + _foot(frame, room)

    return fitted(at)


def _side(one: float, two: float, columns: bool) -> float:
    return max(one, two) if columns else one + GAP + two


def _inside(width: float) -> float:
    """The column of text: without the line round the page, and the room at its sides."""
    return min(width, WIDEST) - 2 - 24


def _row(room: float, columns: bool) -> float:
    return room - LABEL - GAP if columns else room


def _beside(head: float, row: float, columns: bool) -> float:
    return max(head, row) if columns else head + row


def _ask(take: Take, drawing: str, room: float) -> float:
    """A drawing, and beside it what to take and how many."""
    figure = 0.38 * room if drawing else 0
    column = room - figure - GAP if drawing else room
    text = 2 * HEADING.height("How many", column) + 8 + WHAT.height(take.what.text, column)
    text += COUNT.height(take.walk.text, column)
    text += sum(BODY.height(line, column) for line in (take.find, take.bag and f"({take.bag})") if line)
    return max(text, min(_ratio(drawing) * figure, DRAWING)) if drawing else text


def _ratio(svg: str) -> float:
    """Height by width of a drawing."""
    found = VIEW_BOX.search(svg)
    return float(found[2]) / float(found[1]) if found else 1.0


def _head(title: str, under: str, room: float) -> float:
    return 1 + 16 + TITLE.height(title, room) + (BODY.height(under, room) if under else 0)


def _foot(frame: Frame, room: float) -> float:
    small = (frame.typed, " · ".join(frame.facts), frame.team)
    return 8 + 1 + 8 + 16 + STRONG.height(frame.open, room) + sum(SMALL.height(t, room) for t in small) + 8 + 1
