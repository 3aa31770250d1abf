"""Texts of the season chart: how wide they are at most, how they wrap, and where they fit beside each other."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cache
from unicodedata import combining, east_asian_width

Span = tuple[float, float]
BOLD = 1.13
"""How much wider heavy letters are."""
SHARES = (
    ("ijl.,:;'|!", 0.33),
    (" frt()[]{}-/·", 0.43),
    ("mwMW@%—", 1.0),
    ("OQGNHUDÖÜÓÚÑ#&+<=>~", 0.84),
)
SMALL, LARGE, SQUARE = 0.66, 0.72, 1.05


@cache
def _share(letter: str) -> float:
    """Width of a letter as a share of its size: the wider of the site's font and of what stands in for it."""
    for letters, share in SHARES:
        if letter in letters:
            return share
    if combining(letter):
        return 0.0
    if east_asian_width(letter) in "WF":
        return SQUARE
    return LARGE if letter.isupper() else SMALL


def width(text: str, size: float, *, bold: bool = False) -> float:
    """The most a text takes on one line, in the units of `size`."""
    return sum(map(_share, text)) * size * (BOLD if bold else 1.0)


def wrap(text: str, size: float, room: float, *, bold: bool = False) -> list[str]:
    """The text in lines that fit into `room`: broken between words, inside a word only where one is too long."""
    lines: list[str] = []
    for word in text.split():
        if lines and width(f"{lines[-1]} {word}", size, bold=bold) <= room:
            lines[-1] += f" {word}"
            continue
        pieces = [""]
        for letter in word:
            if pieces[-1] and width(pieces[-1] + letter, size, bold=bold) > room:
                pieces.append("")
            pieces[-1] += letter
        lines += pieces
    return lines


def widest(lines: Iterable[str], size: float, *, bold: bool = False) -> float:
    """Width of the longest line."""
    return max((width(line, size, bold=bold) for line in lines), default=0.0)


def free(span: Span, taken: Iterable[Span], gap: float) -> bool:
    """Whether a span keeps clear of all others by `gap`."""
    return all(span[1] + gap <= a or span[0] - gap >= b for a, b in taken)


def inside(span: Span, room: Span) -> Span:
    """The span moved, if it must, so that it does not leave the room on the right, nor on the left."""
    left = max(room[0], min(span[0], room[1] - (span[1] - span[0])))
    return left, left + span[1] - span[0]


def pack(choices: Sequence[Sequence[Span]], gap: float) -> list[tuple[int, int]]:
    """A lane for each thing, so that all keep apart: (lane, number of its span).

    Each thing lists the spans it may take, best first.
    """
    lanes: list[list[Span]] = []
    out: list[tuple[int, int]] = []
    for spans in choices:
        places = ((n, k) for n, lane in enumerate(lanes) for k, span in enumerate(spans) if free(span, lane, gap))
        lane, k = next(places, (len(lanes), 0))
        if lane == len(lanes):
            lanes.append([])
        lanes[lane].append(spans[k])
        out.append((lane, k))
    return out
