"""One page of the site, finished but for the shell round it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from .chapters import Chapter


@dataclass(frozen=True)
class Alternate:
    """The same page in one language; `address` counts from the root of all editions."""

    tag: str
    address: str


@dataclass(frozen=True)
class Page:
    """One page: its address from the root, its finished body, and what the search knows of it.

    `oembed` is the file that tells programs how to show the page in another site, `feed` one that tells what is new
    here, `linked` an element of the head that says in JSON-LD what the page holds. `modified` is a day of the data.
    """

    address: str
    title: str
    body: str
    description: str
    search: str | None = None
    source: tuple[str, int] = ("", 0)
    chapter: Chapter | None = None
    alternates: tuple[Alternate, ...] = ()
    oembed: str = ""
    feed: str = ""
    linked: str = ""
    modified: date | None = None
