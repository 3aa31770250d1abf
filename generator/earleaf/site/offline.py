"""A copy of one edition in one zip file, for places without signal: unpacked, it opens from the disk.

A disk shows a folder as a list of files, and lets no script read a file. So every link ends in a file, and the search
finds its list in a script.

What is in it: every page but those for other people's pages; every drawing and calendar; the cards of each lab as one
file with a card on each page; pictures of the cards for any lab, and of those for the lab that was asked for. What no
page leads to stays out.
"""

from __future__ import annotations

import io
import re
import zipfile
from collections import Counter
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property
from pathlib import Path
from posixpath import dirname, join, normpath

from ..database.languages import subtag
from ..database.near import near
from ..model.manual import Manual
from ..rendering.pages import up
from ..views.cards import deck_file
from ..views.words import Words
from .build import Prepared
from .cache import Cache
from .cards import CannotBuild
from .editions import Edition, NotInManual, editions, untranslated
from .feeds import feeds_without
from .plain_shell import plain_files
from .publish import NotOurs, put
from .tree import Tree, build_tree, without

LIMIT_MB = 25
MARK = b"Offline copy made by Earleaf. It is replaced by each build."
ELSEWHERE = ("embed/", "data/", "offline/")
"""Pages that make sense on the web only."""
INDEX = "search/search_index.json"

WEB_ONLY = re.compile(r"<(a|p|li|th|td)\b[^>]*\sdata-web\b[^>]*>.*?</\1>", re.S)
ANCHOR = re.compile(r'<a\b([^>]*?)\shref="([^"]*)"([^>]*)>(.*?)</a>', re.S)
OTHER = re.compile(r'<(link|img|script|form)\b([^>]*?)\s(href|src|action)="([^"]*)"([^>]*)>')
ADDRESS = re.compile(r"([^?#]*)(.*)")
OUTSIDE = re.compile(r"[a-z]+:|//")
STYLED = re.compile(r"url\(([^)]+)\)")


class TooBig(Exception):
    """The copy is larger than a copy may be. The message says what is large, and what makes it smaller."""


@dataclass(frozen=True)
class Wanted:
    """Which copy: a language of the manual (none for its first), crops (none for all), and a lab (none for all)."""

    language: str | None = None
    crops: tuple[str, ...] = ()
    lab: str | None = None


def make_copy(prepared: Prepared, wanted: Wanted, out: Path, cache: Cache | None) -> tuple[Edition, Tree, int]:
    """Write the copy; its edition, its tree and its bytes. The old copy stays if anything goes wrong.

    Raises NotInManual, CannotBuild, TooBig, OSError or NotOurs.
    """
    assert prepared.manual is not None
    edition, gone = _edition(prepared, prepared.manual, wanted)
    check(out)
    feeds = feeds_without(prepared.feeds, gone)
    words = edition.words
    tree = build_tree(edition.db, edition.manual, edition.chapters, words, cache, feeds, source=edition.source)
    lacking = untranslated(edition, tree.missing) if tree.missing or edition.lacks_start else []
    asked = [edition.db.labs[wanted.lab]] if wanted.lab else []
    files = copied(tree, edition.manual, words, [deck_file(lab, None) for lab in (None, *asked)])
    if lacking := [*lacking, *untranslated(edition, words.missing)]:
        raise CannotBuild(lacking)
    content = packed(files, f"manual-{subtag(edition.tag)}", edition.manual.edition)
    out.parent.mkdir(parents=True, exist_ok=True)
    put(content, out)
    return edition, tree, len(content)


def _edition(prepared: Prepared, manual: Manual, wanted: Wanted) -> tuple[Edition, set[str]]:
    """The edition that is asked for, with only the crops and the lab that are; and the crops that are left out."""
    db = prepared.db
    for kind, names, known in (
        ("crop", wanted.crops, db.crops),
        ("lab", filter(None, [wanted.lab]), db.labs),
        ("language", filter(None, [wanted.language]), [*manual.languages, *map(subtag, manual.languages)]),
    ):
        for name in names:
            if name not in known:
                raise NotInManual(f"there is no {kind} {name!r} in this manual; {near(name, dict.fromkeys(known))}")
    gone = {name for name in db.crops if wanted.crops and name not in wanted.crops}
    labs = {name: lab for name, lab in db.labs.items() if wanted.lab in (None, name)}
    every = editions(manual, replace(without(db, gone), labs=labs), prepared.chapters)
    tag = wanted.language or manual.languages[0]
    return next(e for e in every if tag in (e.tag, subtag(e.tag))), gone


def copied(tree: Tree, manual: Manual, words: Words, pictured: Collection[str]) -> dict[str, bytes]:
    """The files of the copy by name, ready to be opened from a disk.

    `pictured` are the decks whose cards come as pictures too. Single cards as PDF stay out: the decks hold them.
    """
    pages = {a: replace(p, oembed="", feed="", linked="") for a, p in tree.pages.items() if not a.startswith(ELSEWHERE)}
    files = plain_files(replace(tree, pages=pages), manual, words, copy=True)
    cards = {f"{card}.{kind}" for deck in tree.decks.values() for card in deck for kind in ("pdf", "png")}
    shown = {f"{card}.png" for deck in pictured for card in tree.decks.get(deck, ())}
    leads = {name for name in files if name.endswith(".html")} - {f"{address}index.html" for address in pages}
    return _Copy(files, frozenset(files.keys() - (cards - shown) - leads), tree.decks, words).made()


@dataclass
class _Copy:
    """Rewrites the pages of a copy, and notes which files they lead to."""

    files: Mapping[str, bytes]
    carried: frozenset[str]
    decks: Mapping[str, tuple[str, ...]]
    words: Words
    used: set[str] = field(default_factory=set)

    def made(self) -> dict[str, bytes]:
        out = {name: self.page(name) for name in sorted(self.carried) if name.endswith(".html")}
        out["search/search_index.js"] = self.index()
        for name in [name for name in self.used if name.endswith(".css")]:
            for path in STYLED.findall(self.files[name].decode("utf-8")):
                self.used.add(normpath(join(dirname(name), path)))
        return out | {name: self.files[name] for name in sorted(self.used & self.carried - out.keys())}

    def page(self, name: str) -> bytes:
        """One page with links that work on a disk. A link to what is not in the copy leaves its words."""
        text = WEB_ONLY.sub("", self.files[name].decode("utf-8"))
        text = OTHER.sub(lambda m: self._other(name, m), text)
        text = ANCHOR.sub(lambda m: self._anchor(name, m), text)
        script = f'<script src="{up(name)}search/search_index.js" defer></script>\n<script'
        return (text.replace("<script", script, 1) if name == "search/index.html" else text).encode("utf-8")

    def index(self) -> bytes:
        """The list of the search as a script."""
        text = re.sub(r'("location": "[^"]*)"', r'\1index.html"', self.files[INDEX].decode("utf-8"))
        return f"window.earleafIndex = {text.strip()};\n".encode()

    def _other(self, page: str, found: re.Match[str]) -> str:
        tag, before, key, href, after = found.groups()
        to = self._to(page, href)
        return f'<{tag}{before} {key}="{to}"{after}>' if to else ""

    def _anchor(self, page: str, found: re.Match[str]) -> str:
        before, href, after, inside = found.groups()
        if not inside.strip():
            return ""
        picture = re.match(r'<img\b[^>]*\ssrc="([^"]+)"', inside)
        if picture and href.endswith(".pdf"):
            return f'<a{before} href="{picture[1]}"{after}>{inside}</a>'
        target = normpath(join(dirname(page), href))
        if target in self.pages_of_decks:
            deck, number = self.pages_of_decks[target]
            self.used.add(deck)
            words = self.words.say("{card}, page {n}", card="{card}", n=self.words.number(number)).replace(
                "{card}", inside
            )
            return f'<a{before} href="{up(page)}{deck}#page={number}"{after}>{words}</a>'
        to = self._to(page, href)
        return f'<a{before} href="{to}"{after}>{inside}</a>' if to else inside

    def _to(self, page: str, href: str) -> str:
        """The same address as a way to a file; empty where that is not in the copy."""
        path, rest = ADDRESS.match(href).groups()  # type: ignore[union-attr]
        if not path or OUTSIDE.match(path):
            return href
        target = normpath(join(dirname(page), path))
        if path.endswith(("/", ".")):
            path, target = f"{path.rstrip('/')}/index.html", normpath(f"{target}/index.html")
        if target not in self.carried:
            return ""
        self.used.add(target)
        return f"{path}{rest}"

    @cached_property
    def pages_of_decks(self) -> dict[str, tuple[str, int]]:
        """The file of each card, and the page of the deck that holds it."""
        return {f"{card}.pdf": (deck, n) for deck, cards in self.decks.items() for n, card in enumerate(cards, 1)}


def packed(files: Mapping[str, bytes], folder: str, day: date) -> bytes:
    """A zip of all files in one folder; the same bytes for the same files. Raises TooBig."""
    out = io.BytesIO()
    kinds: Counter[str] = Counter()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as archive:
        archive.comment = MARK
        for name, content in sorted(files.items()):
            entry = zipfile.ZipInfo(f"{folder}/{name}", (day.year, day.month, day.day, 0, 0, 0))
            entry.compress_type, entry.create_system, entry.external_attr = zipfile.ZIP_DEFLATED, 3, 0o644 << 16
            archive.writestr(entry, content)
            kinds[_kind(name)] += archive.getinfo(entry.filename).compress_size
    whole = out.getvalue()
    if len(whole) > LIMIT_MB * 1_000_000:
        raise TooBig(_too_big(len(whole), kinds))
    return whole


def _too_big(size: int, kinds: Counter[str]) -> str:
    largest = ", ".join(f"{kind} {_mb(of_kind)}" for kind, of_kind in kinds.most_common(4))
    return (
        f"the copy has {_mb(size)}, and {LIMIT_MB} MB are allowed. Largest: {largest}. "
        "Make it smaller with --crop (may be given often), with --lab, or with --no-cards"
    )


def _mb(size: int) -> str:
    return f"{size / 1_000_000:.1f} MB"


def _kind(name: str) -> str:
    """What a file is, for the message: by folder and ending."""
    folder, ending = name.split("/")[0], name.rpartition(".")[2]
    known = {
        ("labs", "html"): "pages of labs",
        ("crops", "html"): "pages of crops",
        ("cards", "png"): "pictures of cards",
        ("cards", "pdf"): "cards as PDF",
        ("calendars", "pdf"): "calendars as PDF",
        ("drawings", "svg"): "drawings",
    }
    return known.get((folder, ending), "all other files")


def check(target: Path) -> None:
    """Refuse a name that is no copy of ours, before any work is done. Raises NotOurs or OSError."""
    if target.suffix != ".zip":
        raise NotOurs(f"{target} does not end in .zip; give --out a name such as copy.zip")
    if target.is_dir() or (target.exists() and not target.read_bytes().endswith(MARK)):
        raise NotOurs(f"{target} is not a copy that Earleaf made; choose another --out, or remove it yourself")
