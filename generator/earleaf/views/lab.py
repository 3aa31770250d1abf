"""The page of one lab: its dated facts, and what changes for this lab."""

from __future__ import annotations

from dataclasses import dataclass

from ..database.load import Database
from ..model.lab import Lab
from ..model.manual import Manual
from ..model.vocabulary import HandlingTopic
from ..planning.localise import localise
from .beside import TOPIC_NAMES, Changed, changed, value_text
from .common import Footer, Link, by_name, protocol_address
from .lines import Line, Refs, SourceEntry
from .words import DAYS, Words


@dataclass(frozen=True)
class Fact:
    name: str
    value: str
    sources: str
    checked_on: str


@dataclass(frozen=True)
class LabPage:
    """One lab: its facts, what changes for all samples, and what changes crop by crop."""

    address: str
    lab_id: str
    name: str
    place: str
    invented: bool
    about: Line | None
    facts: tuple[Fact, ...]
    everywhere: tuple[Changed, ...]
    sources: tuple[SourceEntry, ...]
    by_crop: tuple[tuple[str, str, tuple[tuple[Link, tuple[Changed, ...]], ...]], ...]
    footer: Footer


def lab_page(db: Database, words: Words, manual: Manual, lab: Lab) -> LabPage:
    everywhere: dict[str, Changed] = {}
    refs = Refs(db, words)
    about = refs.cited(lab.about, lab.source) if lab.about else None
    by_crop = []
    for crop in by_name(words, db.crops.values()):
        rows = []
        for protocol in crop.protocols:
            local = localise(db, crop, protocol, lab)
            own = tuple(changed(db, words, local, c) for c in local.changes if c.key not in lab.handling)
            rows.append((Link(words.say(protocol.title), protocol_address(crop, protocol, lab.lab)), own))
            for change in local.changes:
                if change.key in lab.handling and change.key not in everywhere:
                    everywhere[change.key] = _everywhere(db, words, lab, change.key)
        by_crop.append((crop.crop, words.say(crop.name), tuple(rows)))
    file, line = db.places.at("lab", lab.lab)
    return LabPage(
        address=f"labs/{lab.lab}/",
        lab_id=lab.lab,
        name=lab.name,
        place=lab.place or "",
        invented=lab.invented,
        about=about,
        sources=refs.entries(),
        facts=tuple(_facts(words, lab)),
        everywhere=tuple(everywhere.values()),
        by_crop=tuple(by_crop),
        footer=Footer(
            file,
            line,
            f"{manual.edit_url}{file}" if manual.edit_url else None,
            "",
            words.day(lab.checked_on) if lab.checked_on else "",
            words.day(manual.edition),
        ),
    )


def _everywhere(db: Database, words: Words, lab: Lab, topic: HandlingTopic) -> Changed:
    rule = lab.handling[topic]
    day = rule.checked_on or lab.checked_on
    return Changed(
        words.say(TOPIC_NAMES[topic]),
        value_text(db, words, topic, db.handling.get(topic)),
        value_text(db, words, topic, rule),
        " ".join(rule.source or lab.source),
        words.day(day) if day else "",
    )


def _facts(words: Words, lab: Lab) -> list[Fact]:
    """The lab's dated facts in words. What it does not tell is said to be not stated."""

    def fact(name: str, thing: object, text: str) -> Fact:
        if thing is None:
            return Fact(words.say(name), words.say("Not stated by this lab: ask"), "", "")
        day = getattr(thing, "checked_on", None) or lab.checked_on
        source = getattr(thing, "source", ()) or lab.source
        return Fact(words.say(name), text, " ".join(source), words.day(day) if day else "")

    r, t, u = lab.receives, lab.transit, lab.turnaround
    closed = [
        words.say("{first} to {last} ({why})", first=words.day(c.first), last=words.day(c.last), why=words.say(c.why))
        if c.first != c.last
        else words.say("{day} ({why})", day=words.day(c.first), why=words.say(c.why))
        for c in lab.closed
    ]
    return [
        fact("Takes parcels in on", r, words.listing(words.say(DAYS[d]) for d in r.days) if r else ""),
        fact("Until", r if r and r.until else None, r.until if r and r.until else ""),
        fact("Closed", lab.closed[0] if lab.closed else None, "; ".join(closed)),
        fact("Days on the road", t, words.span(t.days_min, t.days_max) if t else ""),
        fact(
            "Days to a result",
            u,
            words.say("{n} working days" if u and u.working_days else "{n} days", n=words.span(u.days_min, u.days_max))
            if u
            else "",
        ),
        fact(
            "Longest sample name",
            lab.sample_id,
            words.say("{n} characters", n=lab.sample_id.max_length) if lab.sample_id else "",
        ),
        fact("Least material", lab.material, words.say(lab.material.say) if lab.material else ""),
        fact(
            "Fee",
            lab.fee,
            words.say(
                "{amount} {currency} for each {per}",
                amount=f"{lab.fee.amount:.2f}".replace(".", words.decimal_mark),
                currency=lab.fee.currency,
                per=words.say(lab.fee.per),
            )
            if lab.fee
            else "",
        ),
        fact("Its form asks for", lab.form, words.listing(words.say(x) for x in lab.form.fields) if lab.form else ""),
    ]
