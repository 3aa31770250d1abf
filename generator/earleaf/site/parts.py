"""A part of the site: one language and one lab, built alone on any machine, to be joined with the others (`join.py`).

A part holds the finished files of its handouts, and `part.json`: what the joint pages must know of them, a digest of
each file, and a digest of each thing the part was made from. Parts share nothing but the manual and the program.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from hashlib import sha256
from importlib.metadata import version
from pathlib import Path

import earleaf

from ..database.load import Database
from ..database.manual import ManualDatabase
from ..database.near import near
from ..model.crop import Crop
from ..model.finding import Finding
from ..model.manual import Manual
from ..planning.calendars import crop_seasons
from ..rendering.pages import Pages, up
from ..rendering.part_file import written
from .build import Prepared
from .cache import Cache
from .cards import CannotBuild, Cards, Press
from .data_files import DATA
from .editions import Edition, NotInManual, edition_in, editions, left_out, linked, untranslated
from .handouts import FEW, Once, Share, once, share
from .page import Page
from .plain_shell import wrapper
from .publish import publish
from .tree import Tree, menu
from .workers import spread

ANY = "any"
"""The handouts for any lab, in the name of a part."""
MARK = ".earleaf-part"
TOLD = "part.json"
SUM = "part.sha256"
"""The digest of what is told, in the form that the usual programs check."""
FILES = "files/"
SHAPING = ("jinja2", "markupsafe", "numpy", "segno", "typst")
"""Libraries whose version may change a byte of a page or a card."""

Digests = dict[str, str]


@dataclass(frozen=True)
class Part:
    """What `part.json` holds. Labs are by id, with ANY for any lab; crops are in the order of the database.

    `inputs` are digests of what the part was made from, by name. In shares and in `once` pages have no bodies, and each
    file is a digest; `decks` are digests too. `once` is only in the part for any lab.
    """

    language: str
    printed: bool
    inputs: Digests
    shares: dict[str, dict[str, Share]]
    once: dict[str, Once]
    decks: Digests

    @property
    def names(self) -> list[str]:
        """The names of what this part covers, such as es/any."""
        return [f"{self.language}/{lab}" for lab in self.shares]

    def files(self) -> Iterator[tuple[str, str]]:
        """Every file by name, with its digest."""
        yield from self.decks.items()
        every: list[Share | Once] = [one for of_lab in self.shares.values() for one in of_lab.values()]
        for one in (*every, *self.once.values()):
            yield from ((name, digest.decode()) for name, digest in one.files.items())


def plan(prepared: Prepared) -> list[str]:
    """The parts that make a whole site: each language with any lab and with each lab. Raises NotInManual."""
    assert prepared.manual is not None
    if ANY in prepared.db.labs:
        raise NotInManual(f"a lab with the id {ANY!r} cannot be told from the handouts for any lab; give it another id")
    return [f"{tag}/{lab}" for tag in prepared.manual.languages for lab in (ANY, *prepared.db.labs)]


def asked(prepared: Prepared, wanted: str) -> tuple[Edition, list[str]]:
    """The edition and the labs of a part by its name, LANGUAGE or LANGUAGE/LAB. Raises NotInManual."""
    assert prepared.manual is not None
    plan(prepared)
    language, slash, lab = wanted.partition("/")
    edition = edition_in(prepared.manual, prepared.db, language)
    labs = [ANY, *prepared.db.labs]
    if slash and lab not in labs:
        raise NotInManual(f"there is no lab {lab!r} in this manual; {near(lab, dict.fromkeys(labs))}")
    return edition, [lab] if slash else labs


def inputs(prepared: Prepared) -> Digests:
    """A digest of everything that decides what a part holds: files of the manual, its settings, the program."""
    assert prepared.manual is not None
    found = {re.sub(r"^/.*/(?=protocols/)", "", name): digest for name, digest in prepared.db.digests.items()}
    found["manual.yml"] = sha256(prepared.manual.model_dump_json().encode()).hexdigest()
    found["the version of Earleaf"] = _program(Path(earleaf.__file__).parent)
    return found | {f"the version of {name}": version(name) for name in SHAPING}


def _program(folder: Path) -> str:
    """A digest of the program itself, for two versions may bear the same number while it is worked on."""
    whole = sha256()
    for path in sorted(folder.rglob("*")):
        if path.is_file() and path.suffix != ".pyc":
            whole.update(f"{path.relative_to(folder).as_posix()}\0{path.stat().st_size}\0".encode() + path.read_bytes())
    return whole.hexdigest()


def make_part(prepared: Prepared, wanted: str, out: Path, cache: Cache | None) -> int:
    """Write a part into a folder of its own; the number of its pages. With cards if there is a cache for them.

    Raises NotInManual, CannotBuild, OSError or NotOurs; an older part in the folder then stays.
    """
    edition, labs = asked(prepared, wanted)
    db, manual, words = edition.db, edition.manual, edition.words
    pages = Pages(words, up(edition.prefix) if edition.prefix else "")
    press = Press(db, manual, words, cache) if cache is not None else None
    made = spread(_work, (db, manual, pages, press, labs), list(db.crops), chunk=4, few=FEW)
    done = dict(zip(db.crops, made, strict=True))
    _refuse(edition, press, labs, done)
    finisher = _Finisher(prepared, edition, done, cards=press is not None)
    decks = dict(press.decks(press.collated({crop: of_crop.cards for crop, of_crop in done.items()}))) if press else {}
    part = Part(
        language=edition.tag,
        printed=press is not None,
        inputs=inputs(prepared),
        shares={lab: {crop: finisher.share(of_crop.shares[lab]) for crop, of_crop in done.items()} for lab in labs},
        once={crop: finisher.once(of_crop.once) for crop, of_crop in done.items() if of_crop.once},
        decks={name: sha256(content).hexdigest() for name, content in decks.items()},
    )
    if words.missing:
        raise CannotBuild(untranslated(edition, words.missing))
    files = {f"{FILES}{name}": content for name, content in (finisher.files | decks).items()}
    content = written(part)
    publish(files | {TOLD: content, SUM: summed(content)}, out, MARK)
    return len(finisher.pages)


def summed(content: bytes) -> bytes:
    return f"{sha256(content).hexdigest()}  {TOLD}\n".encode()


@dataclass(frozen=True)
class _OfCrop:
    """What one crop brings to a part."""

    shares: dict[str, Share]
    once: Once | None
    faults: tuple[Finding, ...]
    missing: frozenset[str]

    @property
    def cards(self) -> Cards:
        return {None if lab == ANY else lab: of_lab.cards for lab, of_lab in self.shares.items()}


def _work(shared: tuple[Database, Manual, Pages, Press | None, Sequence[str]], crop_id: str) -> _OfCrop:
    db, manual, pages, press, labs = shared
    crop: Crop = db.crops[crop_id]
    pages.words.missing.clear()
    shares = {lab: share(db, manual, pages, crop, None if lab == ANY else lab, press) for lab in labs}
    whole = once(db, manual, pages, crop, press) if ANY in labs else None
    missing = frozenset(pages.words.missing)
    pages.words.missing.clear()
    return _OfCrop(shares, whole, press.take_faults() if press else (), missing)


def _refuse(edition: Edition, press: Press | None, labs: Sequence[str], done: Mapping[str, _OfCrop]) -> None:
    """CannotBuild where a card cannot be printed or a sentence lacks: no part knows which crops another leaves out."""
    faults = [fault for of_crop in done.values() for fault in of_crop.faults]
    if press is not None:
        press.check_labs(lab for lab in edition.db.labs.values() if lab.lab in labs)
        faults += press.take_faults()
    faults += not_left_out(edition, {crop: of_crop.missing for crop, of_crop in done.items() if of_crop.missing})
    if faults:
        raise CannotBuild(faults)


def not_left_out(edition: Edition, incomplete: dict[str, frozenset[str]]) -> list[Finding]:
    """An error for each crop that a build on one machine would leave out of an edition."""
    found = left_out(edition, Tree(left_out=incomplete))
    return [replace(f, level="error", hint=f"{f.hint}; or build the whole site at once, without it") for f in found]


class _Finisher:
    """Puts head, foot and the switch of languages round the pages of a part, and notes its files and their digests."""

    def __init__(self, prepared: Prepared, edition: Edition, done: Mapping[str, _OfCrop], *, cards: bool) -> None:
        assert prepared.manual is not None
        db = edition.db
        every = [one for of_crop in done.values() for one in (*of_crop.shares.values(), of_crop.once) if one]
        self.pages = {page.address: page for one in every for page in one.pages}
        self.others = [(e, Tree(pages=self.pages)) for e in editions(prepared.manual, db, {}) if e.tag != edition.tag]
        self.edition = edition
        calendars = isinstance(db, ManualDatabase) and any(crop_seasons(db, crop) for crop in db.crops.values())
        self.wrap = wrapper(edition.manual, edition.words, menu(edition.words, cards=cards, calendars=calendars))
        self.files: dict[str, bytes] = {}

    def share(self, one: Share) -> Share:
        """The share as it is told: no bodies, and digests for files, which are kept here."""
        return replace(one, pages=tuple(map(self._told, one.pages)), files=self._kept(one), cards=())

    def once(self, one: Once) -> Once:
        return replace(one, pages=tuple(map(self._told, one.pages)), files=self._kept(one))

    def _told(self, page: Page) -> Page:
        return replace(page, body="", oembed="", linked="")

    def _kept(self, one: Share | Once) -> dict[str, bytes]:
        """Data is there once, in the first edition."""
        files = {name: c for name, c in one.files.items() if not (self.edition.prefix and name.startswith(DATA))}
        for page in one.pages:
            whole = linked(page, self.edition, self.others) if self.others else page
            files[f"{page.address}index.html"] = self.wrap(whole)
        self.files |= files
        return {name: sha256(content).hexdigest().encode() for name, content in files.items()}
