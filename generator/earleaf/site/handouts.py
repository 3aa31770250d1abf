"""Every handout of a manual: its page, its drawings and its data, crop by crop, on every core."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from ..database.load import Database
from ..database.manual import ManualDatabase
from ..drawing.stage_strip import stage_strip
from ..model.crop import Crop
from ..model.feed_state import Event
from ..model.finding import Finding
from ..model.manual import Manual
from ..planning.localise import LocalProtocol, localise
from ..rendering.data import data_address, protocol_data, to_bytes
from ..rendering.jsonld import how_to, script
from ..rendering.pages import Pages, safe_svg
from ..rendering.paper.typeset import Printable
from ..views.cards import card_links
from ..views.changes import dated
from ..views.common import Link
from ..views.embed import Choice, embed_address, oembed_file, snippets_address
from ..views.handout import Handout, handout
from ..views.pages import crop_page
from .calendars import crop_calendar
from .cards import Cards, Press
from .drawings import drawing_files, figures
from .embeds import crop_embeds, lab_embeds
from .memory import Memory, crop_keys
from .page import Page
from .workers import spread

FEW = 20
"""Below this many crops a second process costs more than it saves."""


@dataclass(frozen=True)
class Share:
    """What one crop brings for one lab, or for any lab: its handouts in the order of the protocols, and what they need.

    `files` are by name. `used` are the sources it uses, in order; `choices` the embeds of its handouts.
    """

    pages: tuple[Page, ...]
    files: dict[str, bytes]
    used: tuple[str, ...]
    choices: tuple[Choice, ...]
    cards: tuple[Printable, ...] = ()


@dataclass(frozen=True)
class Once:
    """What one crop brings once, whatever the labs: its own page, and its calendar where it has one.

    `events` are those of the calendar, for the feeds; `choice` is its embed.
    """

    pages: tuple[Page, ...]
    files: dict[str, bytes]
    used: tuple[str, ...]
    calendar: Link | None
    events: tuple[Event, ...]
    choice: Choice | None


@dataclass(frozen=True)
class CropHandouts:
    """What one crop brings: pages, files by name, the sources they use, its cards, and the link to its calendar.

    `events` are those of its calendar, for the feeds. `missing` are sentences that this language lacks.
    """

    pages: tuple[Page, ...]
    files: dict[str, bytes]
    used: frozenset[str]
    cards: Cards
    faults: tuple[Finding, ...]
    calendar: Link | None
    events: tuple[Event, ...] = ()
    missing: frozenset[str] = frozenset()


Handouts = Callable[[Database, Manual, Pages, Press | None], Iterable[CropHandouts]]
"""What gives the handouts of every crop, in the order of the database."""


def all_handouts(
    db: Database, manual: Manual, pages: Pages, press: Press | None, memory: Memory[CropHandouts] | None = None
) -> Iterator[CropHandouts]:
    """The handouts of every crop, in the order of the database; their cards too, if there is a press.

    With a memory, only those crops are worked on whose inputs changed since the last build.
    """
    crops = list(db.crops)

    def make(wanted: list[int]) -> Iterator[CropHandouts]:
        return spread(_work, (db, manual, pages, press), [crops[i] for i in wanted], chunk=4, few=FEW)

    if memory is None:
        return make([*range(len(crops))])
    keys = crop_keys(db, manual, pages, list(db.crops.values()), printed=press is not None)
    return memory.recall(keys, make)


def _work(shared: tuple[Database, Manual, Pages, Press | None], crop_id: str) -> CropHandouts:
    db, manual, pages, press = shared
    return crop_handouts(db, manual, pages, db.crops[crop_id], press)


def crop_handouts(db: Database, manual: Manual, pages: Pages, crop: Crop, press: Press | None) -> CropHandouts:
    """Every protocol of a crop, for any lab and for each lab of the manual; its drawings, cards and calendar."""
    pages.words.missing.clear()
    shares = {lab: share(db, manual, pages, crop, lab, press) for lab in (None, *db.labs)}
    made = assembled(db, manual, pages, crop, shares, once(db, manual, pages, crop, press))
    missing = frozenset(pages.words.missing)
    pages.words.missing.clear()
    return replace(made, missing=missing, faults=press.take_faults() if press else ())


def share(db: Database, manual: Manual, pages: Pages, crop: Crop, lab_id: str | None, press: Press | None) -> Share:
    """Every protocol of a crop for one lab, or for any lab. Faults of the paper are left with the press."""
    lab = db.labs[lab_id] if lab_id else None
    locals_ = [localise(db, crop, protocol, lab) for protocol in crop.protocols]
    views = [handout(db, pages.words, manual, local) for local in locals_]
    files = {data_address(local): to_bytes(protocol_data(db, pages.words, local)) for local in locals_}
    files |= drawing_files(db, pages.words, locals_)
    cards: tuple[Printable, ...] = ()
    if press is not None:
        cards, printed = press.crop(crop, lab, locals_)
        files |= printed
    shown = list(zip(locals_, views, strict=True))
    choices, embedded = lab_embeds(db, manual, pages, shown, files)
    return Share(
        pages=tuple(handout_page(db, manual, pages, local, view, press) for local, view in shown),
        files=files | embedded,
        used=tuple(sorted(set().union(*map(sources_of, views)))),
        choices=choices,
        cards=cards,
    )


def once(db: Database, manual: Manual, pages: Pages, crop: Crop, press: Press | None) -> Once:
    """The page of a crop, and its calendar. Faults of the paper are left with the press."""
    calendar = crop_calendar(db, manual, pages, crop, press) if isinstance(db, ManualDatabase) else None
    page, used = crop_index(db, manual, pages, crop, calendar.link if calendar else None)
    if calendar is None:
        return Once((page,), {}, tuple(sorted(used)), None, (), None)
    return Once(
        pages=(calendar.page, page),
        files=calendar.files,
        used=tuple(sorted(calendar.used | used)),
        calendar=calendar.link,
        events=calendar.events,
        choice=calendar.embed.choice,
    )


def assembled(
    db: Database, manual: Manual, pages: Pages, crop: Crop, shares: Mapping[str | None, Share], whole: Once
) -> CropHandouts:
    """A crop from its shares, for any lab first and then in the order of the labs; the page of its embeds is made here.

    The pages stand protocol by protocol, as one reads them.
    """
    snippets = crop_embeds(db, manual, pages, crop, [s.choices for s in shares.values()], whole.choice)
    handouts = (page for of_protocol in zip(*(s.pages for s in shares.values()), strict=True) for page in of_protocol)
    files = {name: content for s in shares.values() for name, content in s.files.items()}
    return CropHandouts(
        pages=(*handouts, snippets, *whole.pages),
        files=files | whole.files,
        used=frozenset(whole.used).union(*(s.used for s in shares.values())),
        cards={lab: s.cards for lab, s in shares.items()},
        faults=(),
        calendar=whole.calendar,
        events=whole.events,
    )


def crop_index(db: Database, manual: Manual, pages: Pages, crop: Crop, calendar: Link | None) -> tuple[Page, set[str]]:
    """The page of a crop: its windows on one line of stages, and its handouts. With the sources it uses."""
    words = pages.words
    view = crop_page(db, words, manual, crop)
    strip = view.strip
    bars = [(b.first, b.last, b.label, b.part) for b in strip.bars]
    title = words.say("Sampling windows of {crop}", crop=view.name)
    body = pages.body(
        "crop.html",
        view.address,
        c=view,
        strip=safe_svg(stage_strip(strip.form, strip.ticks, bars, strip.description, title, "strip")),
        calendar=calendar.address if calendar else "",
        trail=[Link(words.say("Crops"), "crops/")],
        here=view.name,
    )
    found = [view.name, view.also_called, view.latin]
    found += [text for c in view.choices for text in (c.handout.text, c.part.text)]
    page = Page(
        view.address,
        words.say("{crop}: which leaf, and when", crop=view.name),
        body,
        words.say("Sampling windows and handouts of {crop}.", crop=view.name),
        " ".join(found),
        (view.footer.source_file, view.footer.source_line),
    )
    return page, {e.id for e in view.sources} | {p.source for p in view.published}


def handout_page(
    db: Database, manual: Manual, pages: Pages, local: LocalProtocol, view: Handout, press: Press | None = None
) -> Page:
    """The page of one handout."""
    words, lab = pages.words, local.lab
    trail = [Link(words.say("Crops"), "crops/"), Link(view.crop, f"crops/{view.crop_id}/")]
    if lab is not None:
        trail = [
            Link(words.say("Labs"), "labs/"),
            Link(lab.name, f"labs/{lab.lab}/"),
            Link(view.crop, f"labs/{lab.lab}/#{view.crop_id}"),
        ]
    body = pages.body(
        "handout.html",
        view.address,
        h=view,
        trail=trail,
        here=words.say(local.protocol.title),
        figures=figures(db, words, local, view),
        card=card_links(words, local.crop, local.protocol, lab, press.yields) if press else None,
        embeds=snippets_address(local.crop),
    )
    title = f"{view.title}: {_short(view)}" + (f" ({lab.name})" if lab else "")
    first = view.takes[0]
    text = " ".join(
        [
            view.crop,
            *local.crop.also_called,
            local.crop.latin,
            view.stage_code,
            local.protocol.use,
            *(t.what.text for t in view.takes),
            *(t.find for t in view.takes),
            *(s.text for s in view.see),
            *_other_names(db, local),
        ]
    )
    return Page(
        view.address,
        title,
        body,
        f"{first.what.text}. {first.walk.text}.",
        text if lab is None else None,
        (view.footer.source_file, view.footer.source_line),
        oembed=oembed_file(embed_address(local.crop.crop, local.protocol.protocol, lab.lab if lab else None)),
        linked=script(how_to(manual, words, local, view)),
        modified=dated(local.protocol, lab),
    )


def _other_names(db: Database, local: LocalProtocol) -> list[str]:
    """What else people call the parts: 'petiole' for a leaf stalk."""
    return [name for s in local.specimens if s.part for name in db.parts[s.part].also_called]


def _short(view: Handout) -> str:
    return view.takes[0].what.text[0].lower() + view.takes[0].what.text[1:]


def sources_of(view: Handout) -> set[str]:
    """Every source a handout shows."""
    lines = [
        view.hour,
        *view.when,
        *view.see,
        *view.notes,
        *view.result,
        *view.cautions,
        *view.handling_differs,
        *(line for s in (*view.steps, *view.later) for line in s.lines),
        *(x[2] for x in view.stages),
    ]
    out = (
        {s for line in lines for s in line.sources} | {e.id for e in view.sources} | {p.source for p in view.published}
    )
    out |= {s for f in view.faults for s in f.sources.split()} | {s for c in view.changed for s in c.sources.split()}
    return out
