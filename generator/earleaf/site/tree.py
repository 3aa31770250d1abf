"""The whole site as one tree in memory: pages with finished bodies, and files. Shells only publish it."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass, field, replace
from functools import lru_cache
from importlib import resources

from ..database.load import Database
from ..database.manual import ManualDatabase
from ..model.feed_state import Event, FeedState
from ..model.finding import Finding
from ..model.language import SOURCE_LANGUAGE
from ..model.manual import Manual
from ..rendering.data import to_bytes
from ..rendering.pages import Pages
from ..views.calendar import lab_feed
from ..views.cards import cards_page, deck_file
from ..views.common import Link, by_name, crop_address
from ..views.data_page import tables
from ..views.lab import lab_page
from ..views.pages import StageGuide, crop_list, source_list, stage_guide
from ..views.words import Words, alphabetical
from .cache import Cache
from .cards import CannotBuild, Cards, Press
from .changes import changes
from .chapters import Chapter, expand, plain_text, to_html
from .cool_hours import cool_hours_page
from .data_page import data_about
from .drawings import gallery
from .elsewhere import Elsewhere, Source, elsewhere, everybodys
from .embeds import embed_index
from .feeds import all_feeds, feeds_without
from .handouts import Handouts, all_handouts
from .page import Page
from .redirects import redirects
from .terms import terms_page


@dataclass
class Tree:
    """Every output. `menu` is the navigation, index pages only; `feeds` is what the feeds must remember.

    `missing` are sentences of the program and of what all crops share that the language lacks, `left_out` the crops
    that are not shown for want of a translation, each with the sentences it lacks. `decks` are the files that hold
    all cards of a lab, one a page, with those cards in order, each as the address of its own file without the ending.
    """

    pages: dict[str, Page] = field(default_factory=dict)
    files: dict[str, bytes] = field(default_factory=dict)
    menu: list[Link] = field(default_factory=list)
    feeds: FeedState = field(default_factory=FeedState)
    language: str = SOURCE_LANGUAGE
    missing: frozenset[str] = frozenset()
    left_out: dict[str, frozenset[str]] = field(default_factory=dict)
    decks: dict[str, tuple[str, ...]] = field(default_factory=dict)

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
                    "lang": [self.language.split("-")[0]],
                    "separator": r"[\s\-,]+",
                    "pipeline": ["stopWordFilter"],
                    "fields": {"title": {"boost": 1000.0}, "text": {"boost": 1.0}},
                },
                "docs": docs,
            }
        )


def build_tree(
    db: Database,
    manual: Manual,
    chapters: list[Chapter],
    words: Words,
    cache: Cache | None = None,
    feeds: FeedState = FeedState(),  # noqa: B008  (frozen)
    *,
    keep: bool = False,
    source: Source | None = None,
    home: str = "",
    handouts: Handouts = all_handouts,
) -> Tree:
    """All pages and files of one manual in one language. Without a cache (an empty one will do) no cards are made.

    `feeds` is what the calendar feeds of the last build remembered. A crop that lacks a sentence in this language is
    left out, never shown half in English; with `keep` it stays, to draw up what is to be translated. `source` is the
    edition that has what is left out here, `home` the way to the root of all editions, where the data is. `handouts` is
    for those who have some of them already.
    Raises CannotBuild where a card cannot be printed.
    """
    pages, tree = Pages(words, home), Tree(language=words.language)
    used: set[str] = set()
    there = elsewhere(db, manual, chapters, source)
    _chapters(db, pages, tree, chapters, used, there)
    press = Press(db, manual, words, cache) if cache is not None else None
    faults: list[Finding] = []
    calendars: dict[str, Link] = {}
    events: list[Event] = []
    missing = set(words.missing)
    done = dict(zip(db.crops, handouts(db, manual, pages, press), strict=True))
    incomplete = {crop_id: of_crop.missing for crop_id, of_crop in done.items() if of_crop.missing}
    if incomplete and not keep:
        words.missing.update(missing | everybodys(incomplete, len(done)))
        rest, told = without(db, incomplete), feeds_without(feeds, incomplete)
        tree = build_tree(rest, manual, chapters, words, cache, told, source=source, home=home, handouts=handouts)
        tree.left_out |= incomplete
        return tree
    tree.left_out |= incomplete
    for crop_id, of_crop in done.items():
        for page in of_crop.pages:
            tree.add(page)
        tree.files.update(of_crop.files)
        used |= of_crop.used
        faults += of_crop.faults
        if of_crop.calendar:
            calendars[crop_id] = of_crop.calendar
            events += of_crop.events
    if press is not None:
        cards = press.collated({crop_id: of_crop.cards for crop_id, of_crop in done.items()})
        _cards(press, pages, tree, cards, faults)
    hours = _cool_hours(db, manual, pages, tree, used)
    if calendars:
        _calendars(db, pages, tree, calendars, hours)
    if isinstance(db, ManualDatabase) and (calendars or feeds.events):
        made = all_feeds(db, words, manual, events, calendars, feeds)
        tree.files.update(made.files)
        tree.feeds = made.state
    for page in _indexes(db, manual, pages, used, there, calendars=bool(calendars)):
        tree.add(page)
    tree.add(_guide(pages, chapters, there))
    tree.add(embed_index(pages, db))
    if terms := terms_page(db, manual, pages):
        tree.add(terms)
    _gallery(db, pages, tree)
    news, feed = changes(db, manual, pages, printed=press is not None)
    for page in (*news, data_about(manual, pages, calendars=bool(calendars))):
        tree.add(page)
    tree.files |= feed | redirects(db, manual, pages, there)
    for name, content in assets().items():
        tree.files[f"assets/{name}"] = content
    tree.menu = menu(words, cards=press is not None, calendars=bool(calendars))
    tree.missing = frozenset(missing | words.missing)
    return tree


def without(db: Database, crops: Collection[str]) -> Database:
    """The database without some crops, as if the manual did not show them."""
    kept = {name: crop for name, crop in db.crops.items() if name not in crops}
    return replace(db, crops=kept, left_out={**db.left_out, **{name: db.crops[name] for name in crops}})


def _cards(press: Press, pages: Pages, tree: Tree, cards: Cards, faults: list[Finding]) -> None:
    """Decks, field records, and the pages from which cards are picked."""
    press.check_labs(press.db.labs.values())
    faults += press.take_faults()
    if faults:
        raise CannotBuild(faults)
    tree.files.update(press.decks(cards))
    for name, ready in cards.items():
        deck = deck_file(press.db.labs[name] if name else None, None)
        tree.decks[deck] = tuple(f"cards/{one.card.name}" for one in ready)
    tree.files.update(press.records())
    press.cache.tidy()
    words = pages.words
    for lab in (None, *press.db.labs.values()):
        view = cards_page(press.db, words, lab, press.yields)
        trail = [Link(words.say("Pocket cards"), "cards/")] if lab else []
        body = pages.body("cards.html", view.address, c=view, here=lab.name if lab else view.title, trail=trail)
        tree.add(Page(view.address, view.title, body, view.title, view.title if lab is None else None))


def _guide(pages: Pages, chapters: list[Chapter], there: Elsewhere) -> Page:
    """The list of hand-written chapters, and of those that are not written in this language yet."""
    title = pages.words.say("Guide: how to sample, from plan to parcel")
    links = [Link(c.title, c.address) for c in chapters if c.address]
    body = pages.body("guide.html", "guide/", here=title, links=links, only_there=there.chapters)
    return Page("guide/", title, body, title, title)


def _gallery(db: Database, pages: Pages, tree: Tree) -> None:
    """The page that shows every drawing."""
    title = pages.words.say("All drawings")
    entries = gallery(db, pages.words)
    tree.add(Page("drawings/", title, pages.body("drawings.html", "drawings/", here=title, entries=entries), title))


def _cool_hours(db: Database, manual: Manual, pages: Pages, tree: Tree, used: set[str]) -> Link | None:
    """The page of sunrise and cool hours, where the manual has regions; None where it has none."""
    chapter = tree.pages.get("time-of-day/")
    guide = Link(chapter.title, chapter.address) if chapter else None
    made = cool_hours_page(db, manual, pages, guide) if isinstance(db, ManualDatabase) else None
    if made is None:
        return None
    tree.add(made.page)
    used |= made.used
    return made.link


def _calendars(db: Database, pages: Pages, tree: Tree, links: dict[str, Link], hours: Link | None) -> None:
    """The list of calendars, and the crops for which nobody prints a timing."""
    words = pages.words
    crops = by_name(words, db.crops.values())
    watch = [Link(words.say(crop.name), crop_address(crop)) for crop in crops if not crop.development]
    shown = [links[crop.crop] for crop in crops if crop.crop in links]
    title = words.say("Calendars")
    labs = [Link(words.say("{lab} (.ics)", lab=lab.name), lab_feed(lab.lab)) for lab in db.labs.values()]
    body = pages.body("calendars.html", "calendars/", here=title, hours=hours, links=shown, watch=watch, labs=labs)
    tree.add(Page("calendars/", title, body, title, title))


def menu(words: Words, *, cards: bool, calendars: bool) -> list[Link]:
    """The navigation: index pages only."""
    return [
        Link(words.say("Crops"), "crops/"),
        *([Link(words.say("Cards"), "cards/")] if cards else []),
        *([Link(words.say("When"), "calendars/")] if calendars else []),
        Link(words.say("Stages"), "stages/"),
        Link(words.say("Labs"), "labs/"),
        Link(words.say("Guide"), "guide/"),
    ]


def _chapters(
    db: Database, pages: Pages, tree: Tree, chapters: list[Chapter], used: set[str], there: Elsewhere
) -> None:
    for chapter in chapters:
        text, cited = expand(db, pages, chapter)
        used.update(cited)
        body = there.rerouted(to_html(text, chapter.address), chapter.address)
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


def _indexes(
    db: Database, manual: Manual, pages: Pages, used: set[str], there: Elsewhere, *, calendars: bool
) -> Iterator[Page]:
    words = pages.words
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
    yield from _lists(db, manual, pages, used, guides, there, calendars=calendars)


def _lists(
    db: Database,
    manual: Manual,
    pages: Pages,
    used: set[str],
    guides: list[StageGuide],
    there: Elsewhere,
    *,
    calendars: bool,
) -> Iterator[Page]:
    words = pages.words

    def page(address: str, title: str, template: str, **view: object) -> Page:
        body = pages.body(template, address, here=title, **view)
        return Page(address, title, body, title, title)

    yield page("crops/", words.say("Crops, A to Z"), "crop_list.html", x=crop_list(db, words), only_there=there.crops)
    yield page(
        "stages/",
        words.say("Telling growth stages"),
        "stage_list.html",
        guides=sorted(guides, key=lambda g: alphabetical(g.name)),
    )
    labs = [lab_page(db, words, manual, lab) for lab in db.labs.values()]
    yield page("labs/", words.say("All labs"), "lab_list.html", labs=labs)
    for view in labs:
        used.update(s for f in view.facts for s in f.sources.split())
        used.update(s for c in view.everywhere for s in c.sources.split())
        feed = lab_feed(view.lab_id) if calendars else ""
        trail = [Link(words.say("Labs"), "labs/")]
        body = pages.body("lab.html", view.address, l=view, here=view.name, trail=trail, feed=feed)
        yield Page(
            view.address,
            words.say("{lab}: what changes for this lab", lab=view.name),
            body,
            words.say("What {lab} wants otherwise.", lab=view.name),
            view.name,
            (view.footer.source_file, view.footer.source_line),
        )
    listed, csv = source_list(db, words, used), tables(words)
    yield page("sources/", words.say("Sources of this manual"), "sources.html", x=listed, tables=csv)
    yield page("search/", words.say("Search"), "search.html")


@lru_cache
def assets() -> dict[str, bytes]:
    """Style sheets, fonts and scripts that come with the program."""
    root = resources.files("earleaf.site") / "assets"
    out: dict[str, bytes] = {}
    for entry in root.iterdir():
        if entry.is_file():
            out[entry.name] = entry.read_bytes()
        else:
            for inner in entry.iterdir():
                out[f"{entry.name}/{inner.name}"] = inner.read_bytes()
    return out
