"""Pages, feed and addresses that tell a scout whether the card in the pocket is still right."""

from __future__ import annotations

from collections.abc import Iterator

from ..database.load import Database
from ..model.manual import Manual
from ..rendering.atom import Entry, Feed, atom
from ..rendering.pages import Pages
from ..views.card import short_address
from ..views.changes import ADDRESS, FEED, Change, ChangesPage, card_checks, changes_page
from ..views.common import Link, crop_address, protocol_title
from ..views.words import Words
from .page import Page


def changes(db: Database, manual: Manual, pages: Pages, *, printed: bool) -> tuple[list[Page], dict[str, bytes]]:
    """The page of changes, the page behind each code whose card has changed, and the feed by file name."""
    view = changes_page(db, pages.words)
    title = pages.words.say("What changed since your card")
    body = pages.body("changes.html", ADDRESS, here=title, c=view, printed=printed, feed=FEED)
    feed = _feed(db, manual, pages.words, view, title)
    made = [Page(ADDRESS, title, body, title, title, feed=FEED)]
    return [*made, *_checks(db, pages, title, printed=printed)], {FEED: feed}


def _checks(db: Database, pages: Pages, title: str, *, printed: bool) -> Iterator[Page]:
    """What the code on an old card leads to."""
    for crop in db.crops.values():
        trail = [Link(pages.words.say(crop.name), crop_address(crop))]
        for view in card_checks(db, pages.words, crop):
            body = pages.body("card_check.html", view.address, c=view, trail=trail, here=view.title, printed=printed)
            yield Page(view.address, f"{view.title}: {title}", body, title)


def _feed(db: Database, manual: Manual, words: Words, view: ChangesPage, title: str) -> bytes:
    """Every change; and each card that is still the first one, as of the day its sources were checked."""
    root = f"{str(manual.site_url).rstrip('/')}/"
    entries = [_changed(words, root, change) for change in view.changes]
    for crop in db.crops.values():
        for protocol in crop.protocols:
            if protocol.version == 1:
                link = f"{root}{short_address(protocol, None)}"
                name = protocol_title(words, crop, protocol)
                said = words.say("Card {n}. Sources checked {day}.", n=1, day=words.day(protocol.checked_on))
                entries.append(Entry(f"{link}#1", name, protocol.checked_on, link, said))
    entries.sort(key=lambda entry: (-entry.on.toordinal(), entry.ident))
    about = Feed(
        f"{root}{FEED}",
        f"{root}{ADDRESS}",
        words.say("{title}: {what}", title=manual.title, what=title),
        manual.team,
        words.language,
        words.say("Protocols: CC BY 4.0."),
        manual.edition,
    )
    return atom(about, entries)


def _changed(words: Words, root: str, change: Change) -> Entry:
    link = f"{root}{change.short}"
    if change.version:
        name = words.say("{card}: card {n}", card=change.title, n=change.version)
        return Entry(f"{link}#{change.version}", name, change.on, link, change.what.text)
    name = words.say("{card}: no longer in use", card=change.title)
    return Entry(f"{link}#end", name, change.on, link, change.what.text)
