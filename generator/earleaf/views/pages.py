"""Views of the pages that are not handouts: crops, crop lists, staging guides, labs and sources."""

from __future__ import annotations

from dataclasses import dataclass

from ..database.ask import ANY_CROP
from ..database.load import Database
from ..model.base import Cited
from ..model.crop import Crop
from ..model.manual import Manual
from ..model.stages import Stage
from ..planning.compare import compare_rows
from ..planning.localise import localise
from .beside import Published, row_only
from .common import (
    Footer,
    Link,
    by_name,
    crop_address,
    item_unit,
    other_names,
    part_name,
    protocol_address,
    spot_unit,
    stage_code,
    stage_span,
    walk_text,
    window_code,
)
from .lines import Line, Refs, SourceEntry, citation, how_read
from .words import Words, alphabetical, capital, first_letter


@dataclass(frozen=True)
class Choice:
    """One row of 'what do you see?': the sight, the part, the handout."""

    see: tuple[Line, ...]
    tell_apart: Line | None
    code: str
    when: Line | None
    part: Line
    walk: Line
    handout: Link


@dataclass(frozen=True)
class Bar:
    """A sampling window on the stage strip, as positions of ticks."""

    first: int
    last: int
    label: str
    part: str


@dataclass(frozen=True)
class Strip:
    """A stage strip: the ticks that are drawn, and the bars under them."""

    form: str
    ticks: tuple[tuple[str, str], ...]
    bars: tuple[Bar, ...]
    description: str


@dataclass(frozen=True)
class CropPage:
    address: str
    crop_id: str
    name: str
    also_called: str
    latin: str
    group: Link
    about: Line | None
    thin: Line | None
    strip: Strip
    choices: tuple[Choice, ...]
    gaps: tuple[tuple[str, Line], ...]
    published: tuple[Published, ...]
    stage_guides: tuple[Link, ...]
    labs: tuple[Link, ...]
    sources: tuple[SourceEntry, ...]
    footer: Footer


def strip(db: Database, words: Words, crop: Crop) -> Strip:
    """Ticks: the marked stages and every end of a window. Bars: the windows, early to late."""
    stages = db.stages[crop.stage_system]
    ends = {end for p in crop.protocols for end in (p.window.first, p.window.last)}
    ticks = [s for s in stages if s.tick or s.code in ends]
    place = {s.code: i for i, s in enumerate(ticks)}
    codes = [stage_code(db, words, crop.stage_system, s.code) for s in ticks]
    bars = tuple(
        Bar(place[p.window.first], place[p.window.last], words.say(p.title), part_name(db, words, p.take[0].part))
        for p in crop.protocols
    )
    said = words.listing(
        words.say("{title} from {first} to {last}", title=b.label, first=codes[b.first], last=codes[b.last])
        for b in bars
    )
    return Strip(
        crop.form,
        tuple(zip(codes, (words.say(s.name) for s in ticks), strict=True)),
        bars,
        words.say(
            "{crop}: stages from left to right, early to late. Sampling windows: {windows}.",
            crop=words.say(crop.name),
            windows=said,
        ),
    )


def crop_page(db: Database, words: Words, manual: Manual, crop: Crop) -> CropPage:
    refs = Refs(db, words)
    choices = tuple(_choice(db, words, refs, crop, i) for i in range(len(crop.protocols)))
    group = db.groups[crop.group]
    rows = [db.sampling[r] for r in crop.also_rows if r in db.sampling]
    published = tuple(row_only(db, words, row) for row in rows)
    file, line = db.places.at("crop", crop.crop)
    return CropPage(
        address=crop_address(crop),
        crop_id=crop.crop,
        name=words.say(crop.name),
        also_called=", ".join(other_names(words, crop)),
        latin=crop.latin,
        group=Link(words.say(group.name), f"crops/#{group.group}"),
        about=refs.cited(crop.about) if crop.about else None,
        thin=refs.cited(crop.thin) if crop.thin else None,
        strip=strip(db, words, crop),
        choices=choices,
        gaps=tuple((stage_span(db, words, crop.stage_system, g.first, g.last), refs.cited(g.why)) for g in crop.gaps),
        published=published,
        stage_guides=tuple(
            Link(words.say(db.systems[s].name), f"stages/{s}/") for s in (crop.stage_system, *crop.other_systems)
        ),
        labs=tuple(Link(lab.name, f"labs/{lab.lab}/#{crop.crop}") for lab in db.labs.values()),
        sources=refs.entries(),
        footer=Footer(
            file,
            line,
            f"{manual.edit_url}{file}" if manual.edit_url else None,
            "",
            words.day(max(p.checked_on for p in crop.protocols)) if crop.protocols else "",
            words.day(manual.edition),
        ),
    )


def _choice(db: Database, words: Words, refs: Refs, crop: Crop, i: int) -> Choice:
    protocol = crop.protocols[i]
    local = localise(db, crop, protocol)
    first = local.specimens[0]
    item = item_unit(db, first.part, first.count)
    when = None
    if protocol.dates:
        d = protocol.dates[0]
        when = refs.line(words.season(d.first, d.last), d.source)
    parts = words.listing(dict.fromkeys(part_name(db, words, s.part) for s in local.specimens))
    return Choice(
        see=tuple(refs.cited(s) for s in protocol.see),
        tell_apart=refs.cited(protocol.tell_apart) if protocol.tell_apart else None,
        code=window_code(db, words, crop, protocol.window),
        when=when,
        part=refs.line(capital(parts), first.origin["part"].sources),
        walk=refs.line(
            walk_text(words, first.count, first.spots, item, spot_unit(db, crop))[0],
            (*first.origin["count"].sources, *first.origin["spots"].sources),
        ),
        handout=Link(capital(words.say(protocol.title)), protocol_address(crop, protocol)),
    )


@dataclass(frozen=True)
class CropList:
    """A to Z and by group."""

    groups: tuple[tuple[str, str, tuple[tuple[Link, str, int], ...]], ...]
    letters: tuple[tuple[str, tuple[Link, ...]], ...]
    crops: int
    handouts: int
    any_crop: tuple[Published, ...]


def crop_list(db: Database, words: Words) -> CropList:
    groups = []
    for group in sorted(db.groups.values(), key=lambda g: g.group):
        mine = by_name(words, (c for c in db.crops.values() if c.group == group.group))
        if mine:
            groups.append(
                (
                    group.group,
                    words.say(group.name),
                    tuple(
                        (
                            Link(words.say(c.name), crop_address(c)),
                            words.listing(words.say(p.title) for p in c.protocols),
                            len(c.protocols),
                        )
                        for c in mine
                    ),
                )
            )
    names: dict[str, list[Link]] = {}
    for crop in db.crops.values():
        own = words.say(crop.name)
        names.setdefault(first_letter(own), []).append(Link(capital(own), crop_address(crop)))
        for other in map(capital, other_names(words, crop)):
            text = words.say("{other}: see {crop}", other=other, crop=own)
            names.setdefault(first_letter(other), []).append(Link(text, crop_address(crop)))
    letters = tuple(
        (letter, tuple(sorted(names[letter], key=lambda x: alphabetical(x.text))))
        for letter in sorted(names, key=alphabetical)
    )
    rows = tuple(row_only(db, words, row) for row in db.sampling.values() if row.crop == ANY_CROP)
    return CropList(tuple(groups), letters, len(db.crops), sum(len(c.protocols) for c in db.crops.values()), rows)


@dataclass(frozen=True)
class StageGuide:
    """How to count, the traps, and every stage in order."""

    address: str
    name: str
    crops: tuple[Link, ...]
    words_are_codes: bool
    rule: Line | None
    count: tuple[Line, ...]
    traps: tuple[Line, ...]
    stages: tuple[tuple[str, str, Line], ...]
    sources: tuple[SourceEntry, ...]
    footer: Footer


def _look(refs: Refs, look: Cited, fallback: tuple[str, ...]) -> Line:
    """A stage's look; without a source of its own it rests, unmarked, on those of its system."""
    return refs.cited(look) if look.source else Line(refs.words.say(look.say), fallback)


def stage_guide(db: Database, words: Words, manual: Manual, system_id: str) -> StageGuide:
    system = db.systems[system_id]
    refs = Refs(db, words)
    for source in system.source:
        refs.mark(source)
    file, line = db.places.at("system", system_id)
    rows = []
    for entry in system.stages:
        if isinstance(entry, Stage):
            rows.append(
                (
                    stage_code(db, words, system_id, entry.code),
                    words.say(entry.name),
                    _look(refs, entry.look, system.source),
                )
            )
        else:
            rows.append(
                (
                    f"{entry.series}{entry.first}–{entry.series}{entry.last}",
                    capital(words.say(entry.name).replace("{n} ", "").strip()),
                    _look(refs, entry.look, system.source),
                )
            )
            rows += [
                (f"{entry.series}{n}", words.say(entry.name).replace("{n}", str(n)), _look(refs, look, system.source))
                for n, look in sorted(entry.at.items())
            ]
    return StageGuide(
        address=f"stages/{system_id}/",
        name=words.say(system.name),
        crops=tuple(
            Link(words.say(c.name), crop_address(c))
            for c in by_name(words, db.crops.values())
            if system_id in (c.stage_system, *c.other_systems)
        ),
        words_are_codes=system.codes_are_words,
        rule=refs.cited(system.rule) if system.rule else None,
        count=tuple(refs.cited(c) for c in system.count),
        traps=tuple(refs.cited(t) for t in system.traps),
        stages=tuple(rows),
        sources=refs.entries(),
        footer=Footer(
            file, line, f"{manual.edit_url}{file}" if manual.edit_url else None, "", "", words.day(manual.edition)
        ),
    )


@dataclass(frozen=True)
class SourceList:
    entries: tuple[tuple[SourceEntry, str, tuple[Link, ...]], ...]


def source_list(db: Database, words: Words, used: set[str]) -> SourceList:
    """Every source that a page uses, with its address and the crops that rest on it."""
    crops: dict[str, dict[str, Link]] = {}
    for crop in db.crops.values():
        for protocol in crop.protocols:
            for compared in compare_rows(db, localise(db, crop, protocol)):
                crops.setdefault(compared.row.source, {})[crop.crop] = Link(words.say(crop.name), crop_address(crop))
    entries = [
        (SourceEntry("", s.id, citation(s), how_read(words, s)), str(s.url or ""), tuple(crops.get(s.id, {}).values()))
        for s in db.sources.values()
        if s.id in used
    ]
    entries.sort(key=lambda e: e[0].text.lower())
    return SourceList(tuple(entries))
