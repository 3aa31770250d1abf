"""What an embed says: the few facts of a handout, a calendar or a card that stand on somebody else's page."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from ..database.load import Database
from ..model.crop import Crop
from ..model.manual import Manual
from ..planning.localise import LocalProtocol
from .card import card_name, short_address
from .common import Link
from .handout import Handout
from .lines import Line, Refs
from .words import Words

SNIPPETS = "embed/"
"""The page that says how to put a handout on a site of one's own; each crop has one below it."""


@dataclass(frozen=True)
class Frame:
    """What every embed says of itself. `full` is the page it leads to; `open` and `typed` say how to get there."""

    address: str
    title: str
    full: str
    open: str
    typed: str
    facts: tuple[str, ...]
    team: str


@dataclass(frozen=True)
class HandoutFacts:
    """The minute before the first plant: a second heading, and rows of a name and its lines."""

    under: str
    rows: tuple[tuple[str, tuple[Line, ...]], ...]
    safe: Line
    follow: str


def embed_address(crop: str, protocol: str, lab: str | None = None) -> str:
    return f"embed/labs/{lab}/{crop}/{protocol}/" if lab else f"embed/{crop}/{protocol}/"


def card_embed_address(local: LocalProtocol) -> str:
    return f"embed/cards/{card_name(local.crop, local.protocol, local.lab)}/"


def calendar_embed_address(crop: Crop) -> str:
    return f"embed/calendars/{crop.crop}/"


def oembed_file(embed: str) -> str:
    """The file that tells programs about the embed at this address."""
    return f"{embed}oembed.json"


def snippets_address(crop: Crop) -> str:
    return f"{SNIPPETS}{crop.crop}/"


def handout_frame(words: Words, manual: Manual, local: LocalProtocol, view: Handout, address: str) -> Frame:
    """The frame round the facts of one handout, or round its card."""
    lab, footer = local.lab, view.footer
    return Frame(
        address,
        words.say("{title} ({lab})", title=view.title, lab=lab.name) if lab else view.title,
        view.address,
        words.say("Open the whole handout"),
        _typed(words, manual, short_address(local.protocol, lab)),
        (
            words.say("Version {n}", n=footer.version),
            words.say("Sources checked {day}", day=footer.checked_on),
            *([words.say("Lab asked {day}", day=words.day(lab.checked_on))] if lab and lab.checked_on else []),
            words.say("Edition {day}", day=footer.edition),
        ),
        _team(words, manual),
    )


def calendar_frame(words: Words, manual: Manual, crop: Crop, title: str, calendar: str) -> Frame:
    """The frame round the dates of one crop; `calendar` is the address of its calendar."""
    return Frame(
        calendar_embed_address(crop),
        title,
        calendar,
        words.say("Open the whole calendar: days for each lab"),
        _typed(words, manual, calendar),
        (words.say("Edition {day}", day=words.day(manual.edition)),),
        _team(words, manual),
    )


def _typed(words: Words, manual: Manual, address: str) -> str:
    """The address of a page in letters, for a reader whose browser opens no link from a frame."""
    whole = f"{str(manual.site_url).rstrip('/')}/{address}"
    return words.say("Opens nothing? Type {address}", address=whole.split("://", 1)[1].rstrip("/"))


def _team(words: Words, manual: Manual) -> str:
    if not manual.invented:
        return manual.title
    return words.say("{manual}. Demonstration: all names are invented.", manual=manual.title)


def handout_facts(db: Database, words: Words, local: LocalProtocol, view: Handout) -> HandoutFacts:
    """Stage, hour, how to take it, the bag and the cautions, in the words of the handout."""
    refs = Refs(db, words)
    bag, treated = local.handling.get("bag"), db.cautions["rei"]
    how = tuple(line for take in view.takes for line in (*take.how, *([take.petiole] if take.petiole else [])))
    lab = view.lab_name or words.say("Any lab. Ask yours first.")
    rows = (
        (words.say("Too young"), _texts(take.too_young for take in view.takes)),
        (words.say("Too old"), _texts(take.too_old for take in view.takes)),
        (words.say("Right stage?"), view.see),
        (words.say("When"), (view.hour, *view.when[:2])),
        (words.say("How"), how),
        (words.say("Bag"), refs.rule(bag.rule.say, bag.origin.sources) if bag else ()),
    )
    return HandoutFacts(
        under=words.say("{stage} · {lab}", stage=view.stage_code, lab=lab) if view.stage_code else lab,
        rows=tuple((name, lines) for name, lines in rows if lines),
        safe=refs.line(words.say(treated.do), treated.source),
        follow=view.caution_footer,
    )


def _texts(texts: Iterable[str]) -> tuple[Line, ...]:
    return tuple(Line(text) for text in dict.fromkeys(texts) if text)


def take_sources(view: Handout) -> str:
    """The sources of part and count of each bag."""
    return " ".join(dict.fromkeys(s for take in view.takes for s in (*take.what.sources, *take.walk.sources)))


def card_text(view: Handout) -> str:
    """What the picture of a card shows, for those who cannot see it: part and count of each bag."""
    return " ".join(f"{take.what.text}. {take.walk.text}." for take in view.takes)


@dataclass(frozen=True)
class Snippet:
    """One text to copy, and what it gives."""

    name: str
    text: str


@dataclass(frozen=True)
class Choice:
    """The snippets of one handout for one lab, or of a calendar. `look` leads to the embed alone."""

    name: str
    look: Link
    sources: str
    snippets: tuple[Snippet, ...]


@dataclass(frozen=True)
class Offer:
    """A handout or a calendar with its choices, one for each lab."""

    id: str
    title: str
    choices: tuple[Choice, ...]
