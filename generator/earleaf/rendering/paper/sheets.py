"""How cards lie on paper. Pure arithmetic, in millimetres."""

from __future__ import annotations

from dataclasses import dataclass

LIVE_WIDTH_MM, LIVE_HEIGHT_MM = 82.5, 127.0
"""The part of every card that is printed on. It lies inside all card sizes with at least 3 mm to the cut."""

PRINTER_EDGE_MM = 5.0
"""What an office printer leaves white at the edge of the paper."""

BLEED_MM = 3.175
"""1/8 in: what a print shop wants outside the cut."""

INCH_MM = 25.4
CARDS: dict[str, tuple[float, float]] = {
    "4x5.25": (4 * INCH_MM, 5.25 * INCH_MM),
    "4x6": (4 * INCH_MM, 6 * INCH_MM),
    "3.5x5.5": (3.5 * INCH_MM, 5.5 * INCH_MM),
    "a6": (105.0, 148.0),
}
"""Card sizes, width and height. 4 x 5.25 in is the largest that goes four times on US Letter."""

PAPERS: dict[str, tuple[float, float]] = {"letter": (8.5 * INCH_MM, 11 * INCH_MM), "a4": (210.0, 297.0)}

USUAL_CARD = {"letter": "4x5.25", "a4": "a6"}
"""The card that wastes least of each paper."""


class UnknownSize(ValueError):
    """A card or paper size that we do not have."""


@dataclass(frozen=True)
class Sheet:
    """A page, and the grid of cards on it. One card a page when it is no sheet."""

    width_mm: float
    height_mm: float
    card_width_mm: float
    card_height_mm: float
    columns: int = 1
    rows: int = 1
    left_mm: float = 0.0
    top_mm: float = 0.0
    marks: bool = False

    @property
    def per_page(self) -> int:
        return self.columns * self.rows


def single(card: str = "4x5.25", *, bleed: bool = False) -> Sheet:
    """One card a page. `bleed` adds 1/8 in all round, with cut marks, for a print shop. UnknownSize for other names."""
    width, height = _size(CARDS, card, "card")
    edge = BLEED_MM if bleed else 0.0
    return Sheet(width + 2 * edge, height + 2 * edge, width, height, left_mm=edge, top_mm=edge, marks=bleed)


def imposed(paper: str, card: str | None = None) -> Sheet:
    """As many cards as fit on a paper, centred, with cut marks. UnknownSize for other names.

    Cards may touch the edge of the paper as long as what is printed on them stays clear of the printer's edge.
    """
    width, height = _size(PAPERS, paper, "paper")
    card_width, card_height = _size(CARDS, card or USUAL_CARD[paper], "card")
    columns = _how_many(width, card_width, LIVE_WIDTH_MM)
    rows = _how_many(height, card_height, LIVE_HEIGHT_MM)
    left, top = (width - columns * card_width) / 2, (height - rows * card_height) / 2
    return Sheet(width, height, card_width, card_height, columns, rows, left, top, marks=True)


def _how_many(room: float, card: float, live: float) -> int:
    count = int((room + 1e-6) // card)
    while count and (room - count * card) / 2 + (card - live) / 2 < PRINTER_EDGE_MM:
        count -= 1
    return count


def _size(known: dict[str, tuple[float, float]], name: str, what: str) -> tuple[float, float]:
    if name not in known:
        raise UnknownSize(f"unknown {what} size {name!r}; there is {', '.join(known)}")
    return known[name]
