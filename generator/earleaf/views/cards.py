"""Where the cards of a crop, a lab and a manual are found."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from ..database.load import Database
from ..model.crop import Crop, Protocol
from ..model.lab import Lab
from .card import card_name
from .common import Link, by_name, crop_address
from .words import Words

ANY_LAB = "any-lab"
PAPER_NAMES = {"letter": "US Letter", "a4": "A4"}


def paper_name(words: Words, paper: str) -> str:
    """What a paper is called: 'US Letter'."""
    return words.say(PAPER_NAMES[paper])


@dataclass(frozen=True)
class Yield:
    """A paper, the card cut from it, and how many a sheet gives."""

    paper: str
    card: str
    per_page: int


@dataclass(frozen=True)
class CardLinks:
    """What a handout says about its card."""

    title: str
    preview: str
    pdf: str
    sheets: tuple[Link, ...]
    all_cards: Link


@dataclass(frozen=True)
class CardRow:
    """The cards of one crop."""

    crop: Link
    cards: tuple[Link, ...]
    sheets: tuple[Link, ...]


@dataclass(frozen=True)
class CardsPage:
    """All cards for one lab."""

    address: str
    title: str
    labs: tuple[Link, ...]
    decks: tuple[Link, ...]
    records: tuple[Link, ...]
    rows: tuple[CardRow, ...]


def cards_address(lab: Lab | None) -> str:
    return f"cards/{lab.lab}/" if lab else "cards/"


def card_file(crop: Crop, protocol: Protocol, lab: Lab | None) -> str:
    """The address of one card, without its ending."""
    return f"cards/{card_name(crop, protocol, lab)}"


def sheet_file(crop: Crop, lab: Lab | None, paper: str) -> str:
    """All cards of a crop on sheets of one paper."""
    return f"cards/sheets/{'-'.join([crop.crop, *([lab.lab] if lab else []), paper])}.pdf"


def deck_file(lab: Lab | None, paper: str | None) -> str:
    """All cards for a lab: one a page, or on sheets of one paper."""
    return f"cards/decks/{'-'.join([lab.lab if lab else ANY_LAB, *([paper] if paper else [])])}.pdf"


def record_file(lab: Lab | None, paper: str) -> str:
    return f"cards/record/{lab.lab if lab else ANY_LAB}-{paper}.pdf"


def card_links(words: Words, crop: Crop, protocol: Protocol, lab: Lab | None, yields: Iterable[Yield]) -> CardLinks:
    """The card of a handout, and where more of them are."""
    file = card_file(crop, protocol, lab)
    return CardLinks(
        title=words.say("Pocket card"),
        preview=f"{file}.png",
        pdf=f"{file}.pdf",
        sheets=tuple(
            Link(
                words.say(
                    "All cards of this crop on {paper}, {n} to a sheet", paper=paper_name(words, y.paper), n=y.per_page
                ),
                sheet_file(crop, lab, y.paper),
            )
            for y in yields
        ),
        all_cards=Link(
            words.say("All cards for {lab}", lab=lab.name) if lab else words.say("All cards"), cards_address(lab)
        ),
    )


def cards_page(db: Database, words: Words, lab: Lab | None, yields: tuple[Yield, ...]) -> CardsPage:
    """The page from which cards are picked: lab, then crop, then one card or a sheet."""
    return CardsPage(
        address=cards_address(lab),
        title=words.say("Pocket cards for {lab}", lab=lab.name) if lab else words.say("Pocket cards"),
        labs=tuple(
            Link(other.name if other else words.say("Any lab"), cards_address(other), other == lab)
            for other in (None, *db.labs.values())
        ),
        decks=(
            Link(words.say("one card a page"), deck_file(lab, None)),
            *(
                Link(
                    words.say("{paper}, {n} cards to a sheet", paper=paper_name(words, y.paper), n=y.per_page),
                    deck_file(lab, y.paper),
                )
                for y in yields
            ),
        ),
        records=tuple(Link(paper_name(words, y.paper), record_file(lab, y.paper)) for y in yields),
        rows=tuple(_row(words, crop, lab, yields) for crop in by_name(words, db.crops.values()) if crop.protocols),
    )


def _row(words: Words, crop: Crop, lab: Lab | None, yields: tuple[Yield, ...]) -> CardRow:
    return CardRow(
        Link(words.say(crop.name), crop_address(crop)),
        tuple(Link(words.say(p.title), f"{card_file(crop, p, lab)}.pdf") for p in crop.protocols),
        tuple(Link(paper_name(words, y.paper), sheet_file(crop, lab, y.paper)) for y in yields),
    )
