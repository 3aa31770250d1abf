"""Addresses that lead on: short ones, those that things had before, and those of crops that an edition lost."""

from __future__ import annotations

from collections.abc import Iterator
from urllib.parse import urljoin

from ..database.load import Database
from ..model.crop import Crop
from ..model.manual import Manual
from ..rendering.pages import Pages, up
from ..views.card import short_address
from ..views.common import crop_address, protocol_address, protocol_title
from ..views.embed import embed_address
from ..views.words import Words
from .elsewhere import Elsewhere


def redirects(db: Database, manual: Manual, pages: Pages, there: Elsewhere) -> dict[str, bytes]:
    """A page that leads on for each of these addresses, by file name.

    A crop that is no longer in this edition keeps its addresses, for they are printed on cards: they lead to the
    edition that has it.
    """
    template = pages.environment.get_template("redirect.html")
    root = f"{str(manual.site_url).rstrip('/')}/"
    out: dict[str, bytes] = {}

    def lead(address: str, to: str, title: str, language: str) -> None:
        filled = template.render(language=language, title=title, target=up(address) + to, canonical=urljoin(root, to))
        out[f"{address}index.html"] = filled.encode()

    for crop in db.crops.values():
        for address, to, title in _moved(db, pages.words, crop):
            if address != to:
                lead(address, to, title, pages.words.language)
    english = Words(units=db.units)
    for crop in there.missing:
        lead(crop_address(crop), there.way + crop_address(crop), crop.name, english.language)
        for address, to, title in (*_own(db, english, crop), *_moved(db, english, crop)):
            lead(address, there.way + to, title, english.language)
    return out


def _own(db: Database, words: Words, crop: Crop) -> Iterator[tuple[str, str, str]]:
    """The addresses of all handouts of a crop and of their embeds, as (address, where it leads, title)."""
    for protocol in crop.protocols:
        title = protocol_title(words, crop, protocol)
        for lab in (None, *db.labs):
            address, embed = protocol_address(crop, protocol, lab), embed_address(crop.crop, protocol.protocol, lab)
            yield address, address, title
            yield embed, embed, title


def _moved(db: Database, words: Words, crop: Crop) -> Iterator[tuple[str, str, str]]:
    """Short permanent addresses, and pages under the ids that things had before, in the same form.

    The short address of a card that has changed leads to itself: there a page tells what is new.
    """
    for alias in crop.aliases:
        yield f"crops/{alias}/", crop_address(crop), words.say(crop.name)
    for protocol in crop.protocols:
        title = protocol_title(words, crop, protocol)
        inside = [f"{c}/{p}/" for c in (crop.crop, *crop.aliases) for p in (protocol.protocol, *protocol.aliases)]
        for lab in (None, *db.labs.values()):
            target = protocol_address(crop, protocol, lab.lab if lab else None)
            code = short_address(protocol, lab)
            for name in (lab.lab, *lab.aliases) if lab else (None,):
                yield _code(protocol.short_id, name), target if protocol.version == 1 else code, title
                old = (f"labs/{name}/{rest}" if name else f"crops/{rest}" for rest in inside)
                yield from ((address, target, title) for address in old if address != target)
    yield from _retired(db, words, crop)


def _retired(db: Database, words: Words, crop: Crop) -> Iterator[tuple[str, str, str]]:
    """The handouts of protocols that are no more: the page behind the code of their cards says so."""
    for old in crop.retired:
        title = words.say("{crop}, {stage}", crop=words.say(crop.name), stage=words.say(old.title))
        for lab in (None, *db.labs.values()):
            code = _code(old.short_id, lab.lab if lab else None)
            for name in (lab.lab, *lab.aliases) if lab else (None,):
                yield _code(old.short_id, name), code, title
                for c in (crop.crop, *crop.aliases):
                    yield f"labs/{name}/{c}/{old.protocol}/" if name else f"crops/{c}/{old.protocol}/", code, title


def _code(short_id: str, lab: str | None) -> str:
    """The short address under a name that a lab has or had."""
    return f"c/{short_id}/" + (f"{lab}/" if lab else "")
