"""A feed of what changed, in the Atom format (RFC 4287). Dates come from the data, never from a clock."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from xml.etree.ElementTree import Element, SubElement, tostring

ATOM = "http://www.w3.org/2005/Atom"


@dataclass(frozen=True)
class Entry:
    """One change. `ident` never changes and is never used again; `link` is where it can be read."""

    ident: str
    title: str
    on: date
    link: str
    summary: str


@dataclass(frozen=True)
class Feed:
    """What the feed says of itself. `address` is its own, `page` that of the page which says the same."""

    address: str
    page: str
    title: str
    author: str
    language: str
    rights: str
    edition: date


def atom(feed: Feed, entries: Iterable[Entry]) -> bytes:
    """The feed as a file, its entries in the order given; it is as new as its newest entry."""
    entries = tuple(entries)
    root = Element("feed", {"xmlns": ATOM, "xml:lang": feed.language})
    _text(root, "id", feed.address)
    _text(root, "title", feed.title)
    _text(root, "updated", _moment(max((entry.on for entry in entries), default=feed.edition)))
    SubElement(root, "link", rel="self", type="application/atom+xml", href=feed.address)
    SubElement(root, "link", rel="alternate", type="text/html", hreflang=feed.language, href=feed.page)
    _text(SubElement(root, "author"), "name", feed.author)
    _text(root, "rights", feed.rights)
    for entry in entries:
        one = SubElement(root, "entry")
        _text(one, "id", entry.ident)
        _text(one, "title", entry.title)
        _text(one, "updated", _moment(entry.on))
        SubElement(one, "link", rel="alternate", type="text/html", href=entry.link)
        _text(one, "summary", entry.summary)
    text: str = tostring(root, encoding="unicode")
    return f'<?xml version="1.0" encoding="utf-8"?>\n{text}\n'.encode()


def _text(parent: Element, name: str, text: str) -> None:
    SubElement(parent, name).text = text


def _moment(day: date) -> str:
    """The start of a day, as RFC 3339 writes it."""
    return f"{day.isoformat()}T00:00:00Z"
