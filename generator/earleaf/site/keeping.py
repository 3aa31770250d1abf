"""What a reader may keep on a phone: the page to pick it from, and lists of addresses with their sizes.

The scripts `assets/offline.js` (the page) and `assets/keep.js` (the worker) do the keeping; nothing is kept unasked.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256
from posixpath import dirname, join, normpath

from ..rendering.data import to_bytes
from ..rendering.pages import Pages, up
from ..views.common import Link, by_name
from ..views.words import Words, capital
from .editions import Edition
from .page import Page
from .tree import Tree

ADDRESS = "offline/"
WORKER = "keep.js"
"""At the root of all editions, for a worker serves only what lies below it."""

AS_FILES = ("cards/sheets/", "cards/decks/", "calendars/sheets/", "calendars/labs/", "data/", WORKER)
"""Files that are never kept: what is to be printed at a desk, what is for programs, and the worker itself."""

NEVER = ("embed", "drawings", "cards", "data", "c")
"""Folders of pages that are kept with no crop: lists of everything, and pages for the pages of others."""

SEARCH = "search/search_index.json"

LINKED = re.compile(r"""["'(]((?:\.{1,2}/)*[\w./-]+\.(?:css|js|svg|png|pdf|ics|woff2|json))["')]""")
LEADS = re.compile(r'http-equiv="refresh" content="0; url=([^"#]+)')

Sizes = dict[str, int]
"""Bytes by address."""

Owner = tuple[str, str]
"""Crop and lab."""


def with_keeping(trees: Sequence[tuple[Edition, Tree]]) -> None:
    """Add the page to each edition, and the worker to the first, which stands at the root."""
    for edition, tree in trees:
        tree.add(_page(edition, tree))
        worker = tree.files.pop(f"assets/{WORKER}")
        if not edition.prefix:
            tree.files[WORKER] = worker


def _page(edition: Edition, tree: Tree) -> Page:
    words = edition.words
    title = words.say("Keep it on this phone")
    body = Pages(words, up(edition.prefix) if edition.prefix else "").body(
        "offline.html",
        ADDRESS,
        here=title,
        worker=WORKER,
        crops=_crops(edition, tree),
        labs=[Link(lab.name, lab.lab) for lab in edition.db.labs.values()],
        told=_told(words),
    )
    return Page(ADDRESS, title, body, words.say("Keep your crops on this phone, for fields without signal"), title)


def _crops(edition: Edition, tree: Tree) -> list[Link]:
    """The crops that this edition shows, by name; each with its id."""
    shown = by_name(edition.words, (crop for crop in edition.db.crops.values() if crop.crop not in tree.left_out))
    return [Link(capital(edition.words.say(crop.name)), crop.crop) for crop in shown]


def _told(words: Words) -> dict[str, str]:
    """What the page tells while it works, and how that ended."""
    say = words.say
    return {
        "busy": say("Keeping {done} of {all} files. Stay on this page.", done="{done}", all="{all}"),
        "done": say("Done. You can go where there is no signal."),
        "no-room": say("Not enough room on this phone. Nothing was kept."),
        "no-room-old": say("Not enough room on this phone. What you had before is still here."),
        "failed": say("The signal broke off, or a file is missing. Nothing was kept. Try again."),
        "failed-old": say("The signal broke off, or a file is missing. What you had before is still here. Try again."),
        "removed": say("Removed. Nothing is on this phone any more."),
        "no-way": say("This browser cannot keep pages. Ask for the copy in one file."),
        "no-signal": say("No signal. Sizes and new crops show when you have one."),
    }


def kept_files(files: Mapping[str, bytes], edition: Edition, tree: Tree, also: Iterable[str] = ()) -> dict[str, bytes]:
    """The lists of one edition as files: what all crops share, one list for each crop, and which edition it is.

    `files` are all of the edition, as they are published; `also` are those that all crops share though no page names
    them. The list of a crop holds what it needs for any lab under "", and what each lab adds under the id of that
    lab.
    """
    site = _Site(files, frozenset(link.address for link in _crops(edition, tree)))
    pages: dict[Owner, list[str]] = defaultdict(list)
    for name in sorted(files):
        if name.endswith(".html") and (owner := site.owner(name)) is not None:
            pages[owner].append(name)
    lists: dict[str, dict[str, Sizes]] = defaultdict(dict)
    base = site.sizes([*pages.pop(("", "")), *(name for name in (SEARCH, *also) if name in files)])
    for crop, lab in sorted(pages):
        known = base.keys() | lists[crop].get("", {}).keys()
        lists[crop][lab] = {a: n for a, n in site.sizes(pages[crop, lab]).items() if a not in known}
    out = {f"{ADDRESS}crops/{crop}.json": to_bytes(of_crop) for crop, of_crop in lists.items()}
    out[f"{ADDRESS}base.json"] = to_bytes(base)
    listed = {*base, *(address for of_crop in lists.values() for sizes in of_crop.values() for address in sizes)}
    out[f"{ADDRESS}edition.json"] = to_bytes(
        {"version": site.version(listed), "edition": edition.words.day(edition.manual.edition)}
    )
    return out


@dataclass(frozen=True)
class _Site:
    """The files of one edition, and what belongs to what."""

    files: Mapping[str, bytes]
    crops: frozenset[str]

    def owner(self, name: str) -> Owner | None:
        """The crop and lab of a page, both empty for one that all share; None for one that is never kept."""
        lead = LEADS.search(self.files[name][:600].decode("utf-8", "ignore"))
        if lead is not None:
            target = _file(normpath(join(dirname(name), lead[1])) + "/")
            return self.owner(target) if target != name and target in self.files else None
        folder, inside, *rest = (*name.split("/"), "")
        if folder in ("crops", "calendars") and inside in self.crops:
            return inside, ""
        if folder == "labs" and rest and rest[0] in self.crops:
            return rest[0], inside
        return None if folder in NEVER and len(rest) else ("", "")

    def sizes(self, pages: Iterable[str]) -> Sizes:
        """Some pages with the pictures, cards, styles and scripts that they show or lead to."""
        found, todo = dict.fromkeys(pages), list(pages)
        while todo:
            name = todo.pop()
            for linked in self._linked(name) if name.endswith((".html", ".css")) else ():
                if linked not in found:
                    found[linked] = None
                    todo.append(linked)
        return {name.removesuffix("index.html"): len(self.files[name]) for name in sorted(found)}

    def _linked(self, name: str) -> Iterator[str]:
        for path in LINKED.findall(self.files[name].decode("utf-8")):
            linked = normpath(join(dirname(name), path))
            if linked in self.files and not linked.startswith(AS_FILES):
                yield linked

    def version(self, addresses: Iterable[str]) -> str:
        """Changes when any of these files does."""
        parts = (part for a in sorted(addresses) for part in (a.encode(), sha256(self.files[_file(a)]).digest()))
        return sha256(b"".join(parts)).hexdigest()[:16]


def _file(address: str) -> str:
    return f"{address}index.html" if not address or address.endswith("/") else address
