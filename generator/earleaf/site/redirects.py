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
            lead(address, to, title, pages.words.language)
    english = Words(units=db.units)
    for crop in there.missing:
        lead(crop_address(crop), there.way + crop_address(crop), crop.name, english.language)
        for address, to, title in (*_own(db, english, crop), *_moved(db, english, crop)):
            lead(address, there.way + to, title, english.language)
    return out


def _own(db: Database, words: Words, crop: Crop) -> Iterator[tuple[str, str, str]]:
    """The addresses of all handouts of a crop, as (address, where it leads, title)."""
    for protocol in crop.protocols:
        for lab in (None, *db.labs):
            address = protocol_address(crop, protocol, lab)
            yield address, address, protocol_title(words, crop, protocol)


def _moved(db: Database, words: Words, crop: Crop) -> Iterator[tuple[str, str, str]]:
    """Short permanent addresses, and pages under the ids that things had before, in the same form."""
    for protocol in crop.protocols:
        target = protocol_address(crop, protocol)
        title = protocol_title(words, crop, protocol)
        names = [f"crops/{c}/{p}/" for c in (crop.crop, *crop.aliases) for p in (protocol.protocol, *protocol.aliases)]
        yield short_address(protocol, None), target, title
        yield from ((name, target, title) for name in names if name != target)
        for lab in db.labs.values():
            for name in (lab.lab, *lab.aliases):
                yield f"c/{protocol.short_id}/{name}/", protocol_address(crop, protocol, lab.lab), title
