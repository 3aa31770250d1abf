"""What a pocket card says: one crop, one stage, one lab, in fewer than ten lines."""

from __future__ import annotations

from dataclasses import dataclass

from ..database.load import Database
from ..model.crop import Crop, Protocol
from ..model.lab import Lab
from ..model.manual import Manual
from ..planning.localise import LocalProtocol, LocalSpecimen
from .common import item_unit, many_of, spot_unit, walk_text, window_code
from .words import Words, capital

STALKS = {"keep": "with its stalk", "remove": "without its stalk"}
"""What happens to the leaf stalk, where the part's own name does not say it."""


@dataclass(frozen=True)
class CardTake:
    """The first bag: the part and the count, the biggest words of the card."""

    label: str
    part: str
    stalk: str
    count: str
    where: str
    bag: str


@dataclass(frozen=True)
class Pause:
    """A moment to stop and check, with its steps."""

    title: str
    steps: tuple[str, ...]


@dataclass(frozen=True)
class Card:
    """Everything on one card. `name` is its file name, `short_url` where its code leads."""

    name: str
    language: str
    title: str
    stage_code: str
    take: CardTake
    also: tuple[str, ...]
    pauses: tuple[Pause, ...]
    ruined: str
    lab: str
    checked: str
    version: str
    short_url: str
    short_text: str


@dataclass(frozen=True)
class CardWords:
    """The words that stand on every card of a language."""

    ruined: str
    field: str
    date: str
    stage_seen: str
    initials: str
    code_alt: str


def card_words(words: Words) -> CardWords:
    return CardWords(
        ruined=words.say("Ruined by:"),
        field=words.say("Field"),
        date=words.say("Date"),
        stage_seen=words.say("Stage seen"),
        initials=words.say("Initials"),
        code_alt=words.say("Code that opens this page:"),
    )


def card_name(crop: Crop, protocol: Protocol, lab: Lab | None) -> str:
    """The file name, without its ending: corn-tassel-to-silk-larkmoor."""
    return "-".join([crop.crop, protocol.protocol, *([lab.lab] if lab else [])])


def short_address(protocol: Protocol, lab: Lab | None) -> str:
    """The permanent short address, from the root of the site."""
    return f"c/{protocol.short_id}/" + (f"{lab.lab}/" if lab else "")


def card(db: Database, words: Words, manual: Manual, local: LocalProtocol) -> Card:
    """The view of one card."""
    crop, protocol, lab = local.crop, local.protocol, local.lab
    url = f"{str(manual.site_url).rstrip('/')}/{short_address(protocol, lab)}"
    checked = lab.checked_on if lab and lab.checked_on else protocol.checked_on
    return Card(
        name=card_name(crop, protocol, lab),
        language=words.about.language,
        title=_title(words, crop, protocol),
        stage_code=_code(db, words, local),
        take=_take(db, words, local),
        also=tuple(_also(db, words, local, n) for n in range(1, len(local.specimens))),
        pauses=_pauses(db, words, local),
        ruined=", ".join(words.say(f.card) for f in db.faults.values() if f.card),
        lab=lab.name if lab else words.say("Any lab: ask first"),
        checked=words.say("checked {day}", day=words.short_day(checked)),
        version=words.say("card {n}", n=protocol.version),
        short_url=url,
        short_text=url.split("://", 1)[1].rstrip("/"),
    )


def _title(words: Words, crop: Crop, protocol: Protocol) -> str:
    name = words.say(protocol.card.title or protocol.title)
    return words.say("{crop}, {stage}", crop=words.say(crop.card or crop.name), stage=name)


def _code(db: Database, words: Words, local: LocalProtocol) -> str:
    """The stage code; nothing where the title says the same words."""
    system = db.systems[local.crop.stage_system]
    return "" if system.codes_are_words else window_code(db, words, local.crop, local.window)


def _take(db: Database, words: Words, local: LocalProtocol) -> CardTake:
    s = local.specimens[0]
    place = spot_unit(db, local.crop)
    item = item_unit(db, s.part, s.count)
    walk, bag = walk_text(words, s.count, s.spots, item, place)
    where = ""
    if s.spots is not None and s.spots.number > 1:
        walk = words.counted(s.spots.each, item or "plants")
        where = words.say(f"at each of {{n}} {many_of(words, place)}", n=s.spots.number)
    elif s.count is not None and s.count.unit == "locations":
        walk = words.say("{n} {unit}", n=words.span(s.count.min, s.count.max), unit=words.unit(place))
        where = words.say("some from each")
    elif s.count is None:
        walk = words.say("Ask your lab how many")
    return CardTake(
        label=words.say("Take") if len(local.specimens) == 1 else words.say("Bag {n}:", n=1),
        part=_part(db, words, s),
        stalk=words.say(STALKS[s.petiole]) if s.petiole in STALKS else "",
        count=capital(walk),
        where=where,
        bag=bag,
    )


def _part(db: Database, words: Words, specimen: LocalSpecimen) -> str:
    part = db.parts.get(specimen.part or "")
    return words.say(part.card or part.name) if part else words.say("the leaf your lab names")


def _also(db: Database, words: Words, local: LocalProtocol, n: int) -> str:
    """A further bag of the same visit, in one line."""
    s = local.specimens[n]
    part = _part(db, words, s)
    if s.count is None or s.count.min == 1:
        return words.say("Bag {n}: {part}", n=n + 1, part=part)
    walk, _ = walk_text(words, s.count, s.spots, item_unit(db, s.part, s.count), spot_unit(db, local.crop))
    return words.say("Bag {n}: {part}, {count}", n=n + 1, part=part, count=walk)


def _pauses(db: Database, words: Words, local: LocalProtocol) -> tuple[Pause, ...]:
    """Three pauses, nine steps at most."""
    see = [words.say(local.card.see.say)] if local.card.see else []
    rei = db.cautions.get("rei")
    return (
        Pause(
            words.say("Before you enter"),
            (*([words.say(rei.card or rei.do)] if rei else []), *see, *_rule(words, local, "hour")),
        ),
        Pause(
            words.say("At the plants"),
            (
                *_rule(words, local, "plants"),
                *(words.say(how.say) for how in local.card.how),
                *_rule(words, local, "bag"),
            ),
        ),
        Pause(
            words.say("Before you leave the field"),
            (
                *_rule(words, local, "soil"),
                words.say("Part, count and names all right?"),
            ),
        ),
    )


def _rule(words: Words, local: LocalProtocol, topic: str) -> tuple[str, ...]:
    """A handling rule in one line."""
    rule = local.handling.get(topic)
    if rule is None:
        return ()
    said = rule.rule.card or rule.rule.say[0]
    return (words.say(said.say),)
