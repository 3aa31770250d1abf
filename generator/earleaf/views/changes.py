"""What changed since a card was printed: new versions, and protocols that are no more."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from ..database.load import Database
from ..model.crop import Crop, Protocol, Retired
from ..model.lab import Lab
from .card import short_address
from .cards import card_file
from .common import Link, protocol_address, protocol_title
from .lines import Line, Refs, SourceEntry
from .words import Words

ADDRESS = "changes/"
FEED = "changes.atom"


@dataclass(frozen=True)
class Change:
    """A new version of one card, or the end of one. `use` is the handout to take now, empty where there is none."""

    short_id: str
    title: str
    version: int
    on: date
    day: str
    what: Line
    short: str
    use: Link | None
    print: str


@dataclass(frozen=True)
class ChangesPage:
    """Newest first. `first` counts the cards that are as they were."""

    changes: tuple[Change, ...]
    sources: tuple[SourceEntry, ...]


@dataclass(frozen=True)
class CardCheck:
    """The page behind the code of a card that is no longer the first of its kind, or that is no more."""

    address: str
    title: str
    version: int
    day: str
    retired: bool
    changes: tuple[Change, ...]
    use: Link | None
    print: str
    sources: tuple[SourceEntry, ...]


def dated(protocol: Protocol, lab: Lab | None = None) -> date:
    """When what a handout says was last changed or checked."""
    days = [protocol.checked_on, *(change.on for change in protocol.changes)]
    return max([*days, *([lab.checked_on] if lab and lab.checked_on else [])])


def changes_page(db: Database, words: Words) -> ChangesPage:
    """Every change of every crop, and what is retired; the newest first."""
    refs = Refs(db, words)
    found = [change for crop in db.crops.values() for change in _of_crop(db, refs, crop)]
    found.sort(key=lambda c: (-c.on.toordinal(), c.title, -c.version))
    return ChangesPage(tuple(found), refs.entries())


def _of_crop(db: Database, refs: Refs, crop: Crop) -> Iterator[Change]:
    for protocol in crop.protocols:
        yield from changes_of(refs, crop, protocol, None)
    for old in crop.retired:
        yield end_of(db, refs, crop, old, None)


def changes_of(refs: Refs, crop: Crop, protocol: Protocol, lab: Lab | None) -> tuple[Change, ...]:
    """What each version of a protocol changed, the newest first."""
    words = refs.words
    use = Link(words.say("Open the handout"), protocol_address(crop, protocol, lab.lab if lab else None))
    return tuple(
        Change(
            protocol.short_id,
            protocol_title(words, crop, protocol),
            change.version,
            change.on,
            words.day(change.on),
            refs.cited(change.what),
            short_address(protocol, lab),
            use,
            f"{card_file(crop, protocol, lab)}.pdf",
        )
        for change in reversed(protocol.changes)
    )


def end_of(db: Database, refs: Refs, crop: Crop, old: Retired, lab: Lab | None) -> Change:
    """That a protocol is no more, and what to take now."""
    words, now = refs.words, replacement(db, old)
    lab_id = lab.lab if lab else None
    return Change(
        old.short_id,
        words.say("{crop}, {stage}", crop=words.say(crop.name), stage=words.say(old.title)),
        0,
        old.on,
        words.day(old.on),
        refs.cited(old.why),
        f"c/{old.short_id}/" + (f"{lab_id}/" if lab_id else ""),
        Link(protocol_title(words, *now), protocol_address(*now, lab_id)) if now else None,
        f"{card_file(*now, lab)}.pdf" if now else "",
    )


def replacement(db: Database, old: Retired) -> tuple[Crop, Protocol] | None:
    """The protocol that takes the place of one that is no more; None where there is none in this manual."""
    if old.replaced_by is None:
        return None
    crop_id, name = old.replaced_by.split("/")
    crop = db.crops.get(crop_id)
    return next(((crop, p) for p in crop.protocols if p.protocol == name), None) if crop else None


def card_checks(db: Database, words: Words, crop: Crop) -> Iterator[CardCheck]:
    """A page for each code of this crop's cards that can no longer lead straight to a handout."""
    labs: tuple[Lab | None, ...] = (None, *db.labs.values())
    for protocol in crop.protocols:
        for lab in labs if protocol.version > 1 else ():
            refs = Refs(db, words)
            changes = changes_of(refs, crop, protocol, lab)
            yield _check(refs, short_address(protocol, lab), changes, protocol.version, retired=False)
    for old in crop.retired:
        for lab in labs:
            refs = Refs(db, words)
            end = end_of(db, refs, crop, old, lab)
            yield _check(refs, end.short, (end,), 0, retired=True)


def _check(refs: Refs, address: str, changes: tuple[Change, ...], version: int, *, retired: bool) -> CardCheck:
    last = changes[0]
    return CardCheck(address, last.title, version, last.day, retired, changes, last.use, last.print, refs.entries())
