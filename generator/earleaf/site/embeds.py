"""Embeds: a handout, a card or a calendar as a small page of its own, for the page of somebody else.

Each is there as a page that stands still, as one that tells its height (but for cards, whose height is known), and as
data for programs that ask. The texts to be copied stand on a page for each crop.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from struct import unpack
from typing import Any

from markupsafe import Markup

from ..database.load import Database
from ..model.crop import Crop
from ..model.manual import Manual
from ..planning.localise import LocalProtocol
from ..rendering.data import to_bytes
from ..rendering.embed import embed_page
from ..rendering.pages import Pages
from ..rendering.snippets import Height, Thumbnail, framed, growing, oembed, picture_link, text_link
from ..views.calendar import CalendarPage
from ..views.cards import card_file
from ..views.common import Link, by_name, crop_address, protocol_title
from ..views.embed import (
    SNIPPETS,
    Choice,
    Frame,
    Offer,
    Snippet,
    calendar_frame,
    card_embed_address,
    card_text,
    embed_address,
    handout_facts,
    handout_frame,
    oembed_file,
    snippets_address,
    take_sources,
)
from ..views.handout import Handout
from .drawings import figures
from .embed_size import calendar_height, card_height, handout_height
from .page import Page

CALENDAR = "calendar"
"""The id of the calendar on the page of a crop's snippets; handouts have those of their protocols."""


@dataclass(frozen=True)
class Embed:
    """One embed: its files by name, and what is to be copied."""

    files: dict[str, bytes]
    choice: Choice


@dataclass(frozen=True)
class Embedder:
    """Makes the embeds of one edition."""

    db: Database
    manual: Manual
    pages: Pages

    @property
    def site(self) -> str:
        return f"{str(self.manual.site_url).rstrip('/')}/"

    def handout(self, local: LocalProtocol, view: Handout, made: Mapping[str, bytes]) -> Embed:
        """A handout in short, and its card where a picture of it is among the files that are `made`."""
        words, lab = self.pages.words, local.lab
        address = embed_address(local.crop.crop, local.protocol.protocol, lab.lab if lab else None)
        frame = handout_frame(words, self.manual, local, view, address)
        facts = handout_facts(self.db, words, local, view)
        picture = _picture(card_file(local.crop, local.protocol, lab), made)
        drawings = [figure.svg for figure in figures(self.db, words, local, view)]
        height = handout_height(frame, view, facts, drawings)
        files = self._files("embed_handout.html", frame, height, picture, h=view, e=facts, drawings=drawings)
        snippets = [self._link(frame, view, picture), *self._frames(frame, height)]
        if picture:
            card = self._card(local, view, picture)
            files |= card.files
            snippets += card.choice.snippets
        name = lab.name if lab else words.say("Any lab")
        return Embed(
            files | dict(_under_old_names(files, local)),
            Choice(name, Link(frame.title, address), take_sources(view), tuple(snippets)),
        )

    def calendar(self, crop: Crop, view: CalendarPage, charts: Sequence[Markup]) -> Embed:
        """The charts of a calendar, as they are drawn for a phone."""
        words = self.pages.words
        frame = calendar_frame(words, self.manual, crop, view.title, view.address)
        intro = words.say(
            "A forecast from published timing and the weather of past seasons. The crop decides: look before you cut."
        )
        height = calendar_height(frame, view.title, intro, view.seasons, charts)
        files = self._files("embed_calendar.html", frame, height, None, c=view, intro=intro, charts=charts)
        snippets = (
            Snippet(words.say("A link"), text_link(self.site + frame.full, frame.title)),
            *self._frames(frame, height),
        )
        sources = dict.fromkeys(s for season in view.seasons for s in season.sources.split())
        return Embed(
            files, Choice(words.say("All labs"), Link(frame.title, frame.address), " ".join(sources), snippets)
        )

    def snippets(self, crop: Crop, offers: Sequence[Offer]) -> Page:
        """The page from which the embeds of a crop are copied."""
        words, address = self.pages.words, snippets_address(crop)
        name = words.say(crop.name)
        title = words.say("{crop}: put it on your site", crop=name)
        trail = [Link(words.say("Put this on your site"), SNIPPETS)]
        back = Link(words.say("All handouts of {crop}", crop=name), crop_address(crop))
        body = self.pages.body(
            "embed_crop.html", address, here=name, title=title, trail=trail, offers=offers, back=back
        )
        return Page(address, title, body, title)

    def _card(self, local: LocalProtocol, view: Handout, picture: Thumbnail) -> Embed:
        words = self.pages.words
        frame = handout_frame(words, self.manual, local, view, card_embed_address(local))
        pdf = words.say("This card to print (PDF)")
        height = card_height(frame, view.title, pdf, picture)
        link = Link(pdf, f"{card_file(local.crop, local.protocol, local.lab)}.pdf")
        files = self._files("embed_card.html", frame, height, picture, h=view, pdf=link, text=card_text(view))
        name = words.say("The card in a frame")
        snippet = Snippet(name, framed(self.site + frame.address, frame.title, height))
        return Embed(files, Choice(name, Link(frame.title, frame.address), take_sources(view), (snippet,)))

    def _files(
        self, template: str, frame: Frame, height: Height, picture: Thumbnail | None, **view: Any
    ) -> dict[str, bytes]:
        """The page, the page that tells its height where that can differ, and the data."""
        page = embed_page(self.pages, template, frame, self.site, picture=picture, **view)
        data = oembed(
            frame.title, self.site + frame.address, height, provider=self.manual.title, site=self.site, picture=picture
        )
        files = {f"{frame.address}index.html": page.encode(), oembed_file(frame.address): to_bytes(data)}
        if template != "embed_card.html":
            grows = embed_page(self.pages, template, frame, self.site, grows=True, picture=picture, **view)
            files[f"{frame.address}grow.html"] = grows.encode()
        return files

    def _link(self, frame: Frame, view: Handout, picture: Thumbnail | None) -> Snippet:
        say, address = self.pages.words.say, self.site + frame.full
        if picture is None:
            return Snippet(say("A link"), text_link(address, frame.title))
        text = picture_link(address, self.site, picture, card_text(view), frame.title)
        return Snippet(say("A link with the card"), text)

    def _frames(self, frame: Frame, height: Height) -> tuple[Snippet, Snippet]:
        say, address = self.pages.words.say, self.site + frame.address
        grows = growing(f"{address}grow.html", frame.title, height, f"{self.site}assets/embed.js")
        return (
            Snippet(say("A frame"), framed(address, frame.title, height)),
            Snippet(say("A frame that grows"), grows),
        )


def lab_embeds(
    db: Database,
    manual: Manual,
    pages: Pages,
    shown: Sequence[tuple[LocalProtocol, Handout]],
    made: Mapping[str, bytes],
) -> tuple[tuple[Choice, ...], dict[str, bytes]]:
    """What is to be copied of each handout, and the files of the handouts in short. `made` are files with the cards."""
    embedder = Embedder(db, manual, pages)
    embeds = [embedder.handout(local, view, made) for local, view in shown]
    return tuple(e.choice for e in embeds), {name: content for e in embeds for name, content in e.files.items()}


def crop_embeds(
    db: Database,
    manual: Manual,
    pages: Pages,
    crop: Crop,
    choices: Iterable[Sequence[Choice]],
    calendar: Choice | None,
) -> Page:
    """The page of a crop's snippets. `choices` are of any lab and of each lab, in the order of the protocols."""
    offers = [
        Offer(p.protocol, protocol_title(pages.words, crop, p), tuple(of_protocol))
        for p, *of_protocol in zip(crop.protocols, *choices, strict=True)
    ]
    if calendar is not None:
        offers.append(Offer(CALENDAR, pages.words.say("Calendar"), (calendar,)))
    return Embedder(db, manual, pages).snippets(crop, offers)


def embed_index(pages: Pages, db: Database) -> Page:
    """How to put a handout on a site of one's own, and the crops to pick from."""
    words = pages.words
    title = words.say("Put this on your site")
    shown = by_name(words, (crop for crop in db.crops.values() if crop.protocols))
    crops = [Link(words.say(crop.name), snippets_address(crop)) for crop in shown]
    body = pages.body("embed_page.html", SNIPPETS, here=title, crops=crops)
    return Page(SNIPPETS, title, body, words.say("Lines to copy, so that a handout stands on your own site."), title)


def _picture(card: str, made: Mapping[str, bytes]) -> Thumbnail | None:
    """The picture of a card and its size, which a PNG file says in its first bytes."""
    name = f"{card}.png"
    if name not in made:
        return None
    width, height = unpack(">II", made[name][16:24])
    return Thumbnail(name, width, height)


def _under_old_names(files: Mapping[str, bytes], local: LocalProtocol) -> Iterator[tuple[str, bytes]]:
    """The same files at the addresses that the embed had before, for pages of others still show those.

    A redirect would not do: in a sandboxed frame it does not run. Old addresses are as deep, so links stay right.
    """
    crop, protocol, lab = local.crop, local.protocol, local.lab
    crops, protocols = (crop.crop, *crop.aliases), (protocol.protocol, *protocol.aliases)
    labs: tuple[str | None, ...] = (lab.lab, *lab.aliases) if lab else (None,)
    (now, card), *before = (
        (embed_address(c, p, name), f"embed/cards/{'-'.join(filter(None, (c, p, name)))}/")
        for c, p, name in product(crops, protocols, labs)
    )
    for old, old_card in before:
        for file, content in files.items():
            if file.startswith(now):
                yield old + file.removeprefix(now), content
            else:
                yield old_card + file.removeprefix(card), content
