"""What a handout says, in the order in which it says it. Plain values; a template prints them without thinking."""

from __future__ import annotations

from dataclasses import dataclass

from ..database.load import Database
from ..model.crop import Crop, Protocol
from ..model.manual import Manual
from ..planning.compare import compare_rows
from ..planning.localise import LocalProtocol, LocalSpecimen
from .beside import PETIOLE_WORDS, TOPIC_NAMES, Changed, Published, changed, published_row, rule_figure
from .common import (
    Footer,
    Link,
    count_text,
    item_unit,
    part_name,
    portion,
    protocol_address,
    protocol_title,
    spot_unit,
    stage_code,
    walk_text,
    window_code,
)
from .lines import Line, Refs, SourceEntry
from .words import Words, capital


@dataclass(frozen=True)
class Take:
    """One bag: what goes in and how many."""

    kind: str
    part: str
    what: Line
    portion: str
    find: str
    petiole: Line | None
    walk: Line
    bag: str
    published_count: str
    count_attr: str
    unit_attr: str
    how: tuple[Line, ...]
    too_young: str
    too_old: str


@dataclass(frozen=True)
class Section:
    """A heading, its lines, and what it is for."""

    id: str
    title: str
    lines: tuple[Line, ...]


@dataclass(frozen=True)
class FaultLine:
    fault: str
    then: str
    sources: str


@dataclass(frozen=True)
class Handout:
    """Everything on one handout."""

    address: str
    title: str
    crop: str
    crop_id: str
    protocol_id: str
    lab_id: str
    lab_name: str
    stage_code: str
    use: str
    takes: tuple[Take, ...]
    hour: Line
    when: tuple[Line, ...]
    see: tuple[Line, ...]
    tell_apart: Line | None
    stages: tuple[tuple[str, str, Line], ...]
    stage_guide: Link
    before: Link | None
    after: Link | None
    labs: tuple[Link, ...]
    steps: tuple[Section, ...]
    later: tuple[Section, ...]
    faults: tuple[FaultLine, ...]
    changed: tuple[Changed, ...]
    published: tuple[Published, ...]
    handling_differs: tuple[Line, ...]
    notes: tuple[Line, ...]
    result: tuple[Line, ...]
    cautions: tuple[Line, ...]
    caution_footer: str
    sources: tuple[SourceEntry, ...]
    footer: Footer
    short_id: str


def handout(db: Database, words: Words, manual: Manual, local: LocalProtocol) -> Handout:
    """The view of one localised protocol."""
    refs = Refs(db, words)
    crop, protocol, lab = local.crop, local.protocol, local.lab
    place = spot_unit(db, crop)
    takes = tuple(_take(db, words, refs, s, place) for s in local.specimens)
    i = crop.protocols.index(protocol)
    lab_id = lab.lab if lab else None
    stages = db.stages[crop.stage_system]
    first, last = (db.stage_index(crop.stage_system, c) or 0 for c in (local.window.first, local.window.last))
    shown = [s for s in stages[first : last + 1] if s.tick or s.code in (local.window.first, local.window.last)]
    return Handout(
        address=protocol_address(crop, protocol, lab_id),
        title=protocol_title(words, crop, protocol),
        crop=words.say(crop.name),
        crop_id=crop.crop,
        protocol_id=protocol.protocol,
        lab_id=lab_id or "",
        lab_name=lab.name if lab else "",
        stage_code=window_code(db, words, crop, local.window),
        use="" if protocol.use.split()[-1] in ("tissue", *protocol.title.split()) else words.say(protocol.use),
        takes=takes,
        hour=_hour(refs, local),
        when=_when(words, refs, protocol),
        see=tuple(refs.cited(s) for s in protocol.see),
        tell_apart=refs.cited(protocol.tell_apart) if protocol.tell_apart else None,
        stages=tuple(
            (stage_code(db, words, crop.stage_system, s.code), words.say(s.name), refs.cited(s.look)) for s in shown
        ),
        stage_guide=Link(words.say(db.systems[crop.stage_system].name), f"stages/{crop.stage_system}/"),
        before=_neighbour(words, crop, i - 1, lab_id),
        after=_neighbour(words, crop, i + 1, lab_id),
        labs=_lab_links(db, words, crop, protocol, lab_id),
        steps=_steps(db, words, refs, local, takes),
        later=_later(words, refs, local),
        faults=tuple(FaultLine(words.say(f.fault), words.say(f.then), " ".join(f.source)) for f in db.faults.values()),
        changed=tuple(changed(db, words, local, c) for c in local.changes),
        published=tuple(published_row(db, words, c) for c in compare_rows(db, local)),
        handling_differs=_handling_differs(db, words, refs, local),
        notes=tuple(refs.cited(n) for n in local.notes),
        result=_result(refs, words, local),
        cautions=tuple(
            refs.line(_caution_text(words, db.cautions[c].do, db.cautions[c].why), db.cautions[c].source)
            for c in local.cautions
        ),
        caution_footer=words.say(db.caution_footer),
        sources=refs.entries(),
        footer=_footer(db, words, manual, crop, i, protocol),
        short_id=protocol.short_id,
    )


def _caution_text(words: Words, do: str, why: str | None) -> str:
    return f"{words.say(do)} {words.say(why)}" if why else words.say(do)


def _take(db: Database, words: Words, refs: Refs, s: LocalSpecimen, place: str) -> Take:
    part = db.parts.get(s.part or "")
    walk, bag = walk_text(words, s.count, s.spots, item_unit(db, s.part, s.count), place)
    count_sources = (*s.origin["count"].sources, *(s.origin["spots"].sources if s.spots else ()))
    return Take(
        kind=s.kind,
        part=s.part or "",
        what=refs.line(capital(part_name(db, words, s.part)), s.origin["part"].sources),
        portion=portion(db, words, s.part),
        find=words.say(part.find) if part else "",
        petiole=refs.line(words.say(PETIOLE_WORDS[s.petiole]), s.origin["petiole"].sources)
        if s.petiole and s.petiole not in ("none",)
        else None,
        walk=refs.line(walk, count_sources),
        bag=bag,
        published_count=count_text(words, s.count),
        count_attr=f"{s.count.min:g}-{s.count.max:g}"
        if s.count and s.count.max
        else f"{s.count.min:g}"
        if s.count
        else "",
        unit_attr=s.count.unit if s.count else "",
        how=tuple(refs.cited(h) for h in s.how),
        too_young=words.say(part.too_young) if part and part.too_young else "",
        too_old=words.say(part.too_old) if part and part.too_old else "",
    )


def _hour(refs: Refs, local: LocalProtocol) -> Line:
    rule = local.handling.get("hour")
    if rule is None:
        return refs.line(refs.words.say("Not stated by source."))
    return refs.line(refs.words.say(rule.rule.say[0].say), rule.rule.say[0].source or rule.origin.sources)


def _when(words: Words, refs: Refs, protocol: Protocol) -> tuple[Line, ...]:
    """Calendar windows and days after an event, as sources print them."""
    out: list[Line] = []
    for dates in protocol.dates:
        season = words.season(dates.first, dates.last)
        if dates.hemisphere == "south":
            season = words.say("{season} (southern hemisphere)", season=season)
        out.append(refs.line(season, dates.source))
    for after in protocol.after:
        out.append(
            refs.line(
                words.say(
                    "{days} days after {event}",
                    days=words.span(after.days_from, after.days_to),
                    event=words.say(after.event),
                ),
                after.source,
            )
        )
    return tuple(out)


def _neighbour(words: Words, crop: Crop, i: int, lab: str | None) -> Link | None:
    if not 0 <= i < len(crop.protocols):
        return None
    other = crop.protocols[i]
    return Link(words.say(other.title), protocol_address(crop, other, lab))


def _lab_links(db: Database, words: Words, crop: Crop, protocol: Protocol, current: str | None) -> tuple[Link, ...]:
    links = [Link(words.say("Any lab"), protocol_address(crop, protocol), current is None)]
    return tuple(
        links
        + [Link(lab.name, protocol_address(crop, protocol, lab.lab), current == lab.lab) for lab in db.labs.values()]
    )


def _rules(refs: Refs, local: LocalProtocol, *topics: str) -> tuple[Line, ...]:
    out: list[Line] = []
    for topic in topics:
        if topic in local.handling:
            rule = local.handling[topic]
            out += refs.rule(rule.rule.say, rule.origin.sources)
    return tuple(out)


def _steps(
    db: Database, words: Words, refs: Refs, local: LocalProtocol, takes: tuple[Take, ...]
) -> tuple[Section, ...]:
    enter = [
        refs.line(words.say(db.cautions[c].do), db.cautions[c].source)
        for c in ("permission", "rei")
        if c in local.cautions
    ]
    enter.append(
        refs.line(
            words.say(
                "Check the stage on plants in three places. Not this stage? Stop, and take the handout that fits."
            ),
            ("common-practice",),
        )
    )
    enter += _rules(refs, local, "hour", "spray")
    plants = [*_rules(refs, local, "spots", "plants")]
    for take in takes:
        plants += take.how
        if take.petiole:
            plants.append(take.petiole)
        plants.append(take.walk)
    plants += _rules(refs, local, "clean", "mix", "area", "material", "bag")
    leave = [*_rules(refs, local, "record")]
    leave.append(
        refs.line(
            words.say(
                "Look into the bag. Right part, right number, one name on bag and form? Now is the time to fix it."
            )
        )
    )
    leave += [
        refs.line(words.say(db.cautions[c].do), db.cautions[c].source)
        for c in ("biosecurity-boots",)
        if c in local.cautions
    ]
    return (
        Section("before-you-enter", words.say("Before you enter"), tuple(enter)),
        Section("at-the-plants", words.say("At the plants"), tuple(plants)),
        Section("before-you-leave", words.say("Before you leave the field"), tuple(leave)),
    )


def _later(words: Words, refs: Refs, local: LocalProtocol) -> tuple[Section, ...]:
    return (
        Section("soil-sample", words.say("The soil sample that goes with it"), _rules(refs, local, "soil")),
        Section("good-and-poor", words.say("Looking for a problem? Take a pair"), _rules(refs, local, "pairs")),
        Section(
            "drying-and-mailing",
            words.say("Drying and mailing"),
            _rules(refs, local, "wash", "dry", "pack", "hold", "mail"),
        ),
        Section("coming-back", words.say("Coming back"), _rules(refs, local, "repeat")),
    )


def _handling_differs(db: Database, words: Words, refs: Refs, local: LocalProtocol) -> tuple[Line, ...]:
    """Published handling rules that say otherwise than this page, as they are."""
    out: list[Line] = []
    for topic, rule in local.handling.items():
        for name in rule.rule.differs:
            row = db.handling_rows.get(name)
            if row is None:
                continue
            out.append(
                refs.line(
                    words.say(
                        "{topic}: {rule}{figure}",
                        topic=words.say(TOPIC_NAMES[topic]),
                        rule=words.say(row.rule),
                        figure=rule_figure(words, row),
                    ),
                    (row.source,),
                )
            )
    return tuple(out)


def _result(refs: Refs, words: Words, local: LocalProtocol) -> tuple[Line, ...]:
    general = refs.line(
        words.say("A number means something only beside a range for the same part at the same stage."),
        [s for s in ("uga-intro",) if s in refs.db.sources],
    )
    soil = refs.line(
        words.say("Read it with the soil test and what you saw in the field. It is not a fertiliser rate.")
    )
    return (general, *(refs.cited(r) for r in local.result), soil)


def _footer(db: Database, words: Words, manual: Manual, crop: Crop, i: int, protocol: Protocol) -> Footer:
    file, line = db.places.at("crop", crop.crop, "protocols", i)
    return Footer(
        file,
        line,
        f"{manual.edit_url}{file}" if manual.edit_url else None,
        str(protocol.version),
        words.day(protocol.checked_on),
        words.day(manual.edition),
    )
