"""The whole site as one tree in memory: pages with finished bodies, and files. Shells only publish it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from importlib import resources

from ..database.load import Database
from ..drawing.stage_strip import stage_strip
from ..model.finding import Finding
from ..model.manual import Manual
from ..planning.compare import compare_rows
from ..planning.localise import localise
from ..rendering.data import index_data, published_row, to_bytes
from ..rendering.pages import Pages, safe_svg, up
from ..rendering.schema import schemas
from ..views.calendar import calendar_address
from ..views.card import short_address
from ..views.cards import cards_page
from ..views.common import Link, crop_address, protocol_address, protocol_title
from ..views.lab import lab_page
from ..views.pages import crop_list, crop_page, source_list, stage_guide
from ..views.words import Words
from .cache import Cache
from .cards import CannotBuild, Press
from .chapters import Chapter, expand, plain_text, to_html
from .drawings import gallery
from .handouts import Cards, all_handouts
from .page import Page


@dataclass
class Tree:
    """Every output. `menu` is the navigation, index pages only."""

    pages: dict[str, Page] = field(default_factory=dict)
    files: dict[str, bytes] = field(default_factory=dict)
    menu: list[Link] = field(default_factory=list)

    def add(self, page: Page) -> None:
        if page.address in self.pages:
            raise ValueError(f"two pages at {page.address!r}")
        self.pages[page.address] = page

    def search_index(self) -> bytes:
        """Titles and words of the pages a reader looks for; lab variants are reached from the base page."""
        docs = [
            {"location": p.address, "title": p.title, "text": p.search}
            for p in self.pages.values()
            if p.search is not None
        ]
        return to_bytes(
            {
                "config": {
                    "lang": ["en"],
                    "separator": r"[\s\-,]+",
                    "pipeline": ["stopWordFilter"],
                    "fields": {"title": {"boost": 1000.0}, "text": {"boost": 1.0}},
                },
                "docs": docs,
            }
        )


def build_tree(db: Database, manual: Manual, chapters: list[Chapter], words: Words, cache: Cache | None = None) -> Tree:
    """All pages and files of one manual in one language. Without a cache (an empty one will do) no cards are made.

    Raises CannotBuild where a card cannot be printed.
    """
    pages, tree = Pages(words), Tree()
    used: set[str] = set()
    _chapters(db, pages, tree, chapters, used)
    press = Press(db, manual, words, cache) if cache is not None else None
    cards: Cards = {}
    faults: list[Finding] = []
    calendars: dict[str, Link] = {}
    for crop_id, handouts in zip(db.crops, all_handouts(db, manual, pages, press), strict=True):
        for page in handouts.pages:
            tree.add(page)
        tree.files.update(handouts.files)
        used |= handouts.used
        faults += handouts.faults
        if handouts.calendar:
            calendars[crop_id] = handouts.calendar
        for lab, ready in handouts.cards.items():
            cards[lab] = (*cards.get(lab, ()), *ready)
    if press is not None:
        _cards(press, pages, tree, cards, faults)
    if calendars:
        _calendars(db, pages, tree, calendars)
    for page in _indexes(db, manual, pages, used, frozenset(calendars)):
        tree.add(page)
    tree.add(_guide(pages, chapters))
    _gallery(db, pages, tree)
    _redirects(db, manual, pages, tree)
    _data(db, words, tree)
    for name, content in assets().items():
        tree.files[f"assets/{name}"] = content
    tree.menu = _menu(words, cards=press is not None, calendars=bool(calendars))
    return tree


def _cards(press: Press, pages: Pages, tree: Tree, cards: Cards, faults: list[Finding]) -> None:
    """Decks, field records, and the pages from which cards are picked."""
    press.check_labs(press.db.labs.values())
    faults += press.take_faults()
    if faults:
        raise CannotBuild(faults)
    tree.files.update(press.decks(cards))
    tree.files.update(press.records())
    press.cache.tidy()
    words = pages.words
    for lab in (None, *press.db.labs.values()):
        view = cards_page(press.db, words, lab, press.yields)
        trail = [Link(words.say("Pocket cards"), "cards/")] if lab else []
        body = pages.body("cards.html", view.address, c=view, here=lab.name if lab else view.title, trail=trail)
        tree.add(Page(view.address, view.title, body, view.title, view.title if lab is None else None))


def _guide(pages: Pages, chapters: list[Chapter]) -> Page:
    """The list of hand-written chapters."""
    title = pages.words.say("Guide: how to sample, from plan to parcel")
    links = [Link(c.title, c.address) for c in chapters if c.address]
    return Page("guide/", title, pages.body("guide.html", "guide/", here=title, links=links), title, title)


def _gallery(db: Database, pages: Pages, tree: Tree) -> None:
    """The page that shows every drawing."""
    title = pages.words.say("All drawings")
    entries = gallery(db, pages.words)
    tree.add(Page("drawings/", title, pages.body("drawings.html", "drawings/", here=title, entries=entries), title))


def _calendars(db: Database, pages: Pages, tree: Tree, links: dict[str, Link]) -> None:
    """The list of calendars, and the crops for which nobody prints a timing."""
    words = pages.words
    watch = [Link(words.say(crop.name), crop_address(crop)) for crop in db.crops.values() if not crop.development]
    title = words.say("Calendars")
    body = pages.body("calendars.html", "calendars/", here=title, links=links.values(), watch=watch)
    tree.add(Page("calendars/", title, body, title, title))


def _menu(words: Words, *, cards: bool, calendars: bool) -> list[Link]:
    return [
        Link(words.say("Crops"), "crops/"),
        *([Link(words.say("Cards"), "cards/")] if cards else []),
        *([Link(words.say("When"), "calendars/")] if calendars else []),
        Link(words.say("Stages"), "stages/"),
        Link(words.say("Labs"), "labs/"),
        Link(words.say("Guide"), "guide/"),
    ]


def _chapters(db: Database, pages: Pages, tree: Tree, chapters: list[Chapter], used: set[str]) -> None:
    for chapter in chapters:
        text, cited = expand(db, pages, chapter)
        used.update(cited)
        body = to_html(text, chapter.address)
        tree.add(
            Page(
                chapter.address,
                chapter.title,
                body,
                _first_words(plain_text(body)),
                plain_text(body)[:3000],
                (chapter.file, 1),
                chapter,
            )
        )


def _first_words(text: str, length: int = 150) -> str:
    return text if len(text) <= length else text[:length].rsplit(" ", 1)[0] + " …"


def _indexes(db: Database, manual: Manual, pages: Pages, used: set[str], calendars: frozenset[str]) -> Iterator[Page]:
    words = pages.words
    crops_link = Link(words.say("Crops"), "crops/")
    for crop in db.crops.values():
        view = crop_page(db, words, manual, crop)
        used |= {e.id for e in view.sources} | {p.source for p in view.published}
        picture = safe_svg(
            stage_strip(
                view.strip.form,
                view.strip.ticks,
                [(b.first, b.last, b.label, b.part) for b in view.strip.bars],
                view.strip.description,
                words.say("Sampling windows of {crop}", crop=view.name),
                "strip",
            )
        )
        body = pages.body(
            "crop.html",
            view.address,
            c=view,
            strip=picture,
            calendar=calendar_address(crop) if crop.crop in calendars else "",
            trail=[crops_link],
            here=view.name,
        )
        text = " ".join(
            [
                view.name,
                view.also_called,
                view.latin,
                *(c.handout.text for c in view.choices),
                *(c.part.text for c in view.choices),
            ]
        )
        yield Page(
            view.address,
            words.say("{crop}: which leaf, and when", crop=view.name),
            body,
            words.say("Sampling windows and handouts of {crop}.", crop=view.name),
            text,
            (view.footer.source_file, view.footer.source_line),
        )
    in_use = {s for c in db.crops.values() for s in (c.stage_system, *c.other_systems)}
    guides = [stage_guide(db, words, manual, s) for s in db.systems if s in in_use]
    for guide in guides:
        used |= {e.id for e in guide.sources}
        body = pages.body(
            "stages.html", guide.address, g=guide, here=guide.name, trail=[Link(words.say("Growth stages"), "stages/")]
        )
        yield Page(
            guide.address,
            words.say("Telling the stage: {system}", system=guide.name),
            body,
            words.say("How to tell the growth stages: {system}.", system=guide.name),
            " ".join([guide.name, *(c.text for c in guide.crops), *(f"{c} {n}" for c, n, _ in guide.stages)]),
            (guide.footer.source_file, 1),
        )
    yield from _lists(db, manual, pages, used, guides)


def _lists(db: Database, manual: Manual, pages: Pages, used: set[str], guides: list) -> Iterator[Page]:  # type: ignore[type-arg]
    words = pages.words

    def page(address: str, title: str, template: str, **view: object) -> Page:
        body = pages.body(template, address, here=title, **view)
        return Page(address, title, body, title, title)

    yield page("crops/", words.say("Crops, A to Z"), "crop_list.html", x=crop_list(db, words))
    yield page("stages/", words.say("Telling growth stages"), "stage_list.html", guides=guides)
    labs = [lab_page(db, words, manual, lab) for lab in db.labs.values()]
    yield page("labs/", words.say("Labs"), "lab_list.html", labs=labs)
    for view in labs:
        used.update(s for f in view.facts for s in f.sources.split())
        used.update(s for c in view.everywhere for s in c.sources.split())
        body = pages.body("lab.html", view.address, l=view, here=view.name, trail=[Link(words.say("Labs"), "labs/")])
        yield Page(
            view.address,
            words.say("{lab}: what changes for this lab", lab=view.name),
            body,
            words.say("What {lab} wants otherwise.", lab=view.name),
            view.name,
            (view.footer.source_file, view.footer.source_line),
        )
    yield page("sources/", words.say("Sources of this manual"), "sources.html", x=source_list(db, words, used))
    yield page("search/", words.say("Search"), "search.html")


def _redirects(db: Database, manual: Manual, pages: Pages, tree: Tree) -> None:
    """Short permanent addresses, and pages under the ids that things had before."""
    for crop in db.crops.values():
        for protocol in crop.protocols:
            target = protocol_address(crop, protocol)
            title = protocol_title(pages.words, crop, protocol)
            names = [
                f"crops/{c}/{p}/" for c in (crop.crop, *crop.aliases) for p in (protocol.protocol, *protocol.aliases)
            ]
            moved = [(short_address(protocol, None), target), *((n, target) for n in names if n != target)]
            moved += [
                (f"c/{protocol.short_id}/{name}/", protocol_address(crop, protocol, lab.lab))
                for lab in db.labs.values()
                for name in (lab.lab, *lab.aliases)
            ]
            for address, to in moved:
                tree.files[f"{address}index.html"] = (
                    pages.environment.get_template("redirect.html")
                    .render(
                        language=pages.words.language,
                        title=title,
                        target=up(address) + to,
                        canonical=f"{str(manual.site_url).rstrip('/')}/{to}",
                    )
                    .encode()
                )


def _data(db: Database, words: Words, tree: Tree) -> None:
    tree.files["data/v1/index.json"] = to_bytes(index_data(db, words))
    rows: dict[str, object] = {}
    for crop in db.crops.values():
        for protocol in crop.protocols:
            for compared in compare_rows(db, localise(db, crop, protocol)):
                rows.setdefault(compared.row.row, published_row(compared))
        for name in crop.also_rows:
            if name in db.sampling:
                rows.setdefault(name, {**db.sampling[name].model_dump(), "stages": db.sampling[name].stage_text})
    for name, row in db.sampling.items():
        if row.crop == "any-crop":
            rows.setdefault(name, {**row.model_dump(), "stages": row.stage_text})
    tree.files["data/v1/evidence.json"] = to_bytes([rows[name] for name in sorted(rows)])
    for name, schema in schemas().items():
        tree.files[f"data/v1/schema/{name}.json"] = to_bytes(schema)


@lru_cache
def assets() -> dict[str, bytes]:
    """Style sheets, fonts and the search script that come with the program."""
    root = resources.files("earleaf.site") / "assets"
    out: dict[str, bytes] = {}
    for entry in root.iterdir():
        if entry.is_file():
            out[entry.name] = entry.read_bytes()
        else:
            for inner in entry.iterdir():
                out[f"{entry.name}/{inner.name}"] = inner.read_bytes()
    return out
