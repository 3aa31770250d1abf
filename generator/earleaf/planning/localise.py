"""One protocol as one lab wants it: all layers merged, each value knowing where it came from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, Literal

from ..database.load import Database
from ..model.base import Cited
from ..model.crop import CardLines, Count, Crop, Protocol, Specimen, Spots, Window
from ..model.lab import Lab, LabProtocol
from ..model.vocabulary import Handling, HandlingTopic

OTHER_LEAF = frozenset({"part", "petiole"})
"""A lab that changes one of these wants another thing in the bag: what the base says of taking it no longer holds."""

Layer = Literal["base", "group", "crop", "protocol", "lab"]


@dataclass(frozen=True)
class Origin:
    """Where a value was said: the layer, the file and line, and its sources."""

    layer: Layer
    file: str
    line: int
    sources: tuple[str, ...]
    checked_on: date | None = None


@dataclass(frozen=True)
class LocalSpecimen:
    """A specimen after the lab has had its say. `origin` has one entry for part, petiole, count, spots and how."""

    kind: str
    part: str | None
    petiole: str | None
    count: Count | None
    spots: Spots | None
    how: tuple[Cited, ...]
    basis: tuple[str, ...]
    origin: dict[str, Origin]


@dataclass(frozen=True)
class LocalRule:
    """A handling rule and its origin."""

    topic: str
    rule: Handling
    origin: Origin


@dataclass(frozen=True)
class Change:
    """One thing this lab wants otherwise. `before` and `after` are values, not words."""

    key: str
    before: object
    after: object
    origin: Origin


@dataclass(frozen=True)
class LocalProtocol:
    """What a page or a card is made from. It never mixes two protocols: a changed part drops the base's how."""

    crop: Crop
    protocol: Protocol
    lab: Lab | None
    window: Window
    window_origin: Origin
    specimens: tuple[LocalSpecimen, ...]
    handling: dict[str, LocalRule]
    changes: tuple[Change, ...]
    result: tuple[Cited, ...]
    notes: tuple[Cited, ...]
    cautions: tuple[str, ...]
    card: CardLines


def localise(db: Database, crop: Crop, protocol: Protocol, lab: Lab | None = None) -> LocalProtocol:
    """The protocol for one lab, or for any lab when `lab` is None."""
    i = crop.protocols.index(protocol)
    entry, entry_origin = _lab_entry(db, crop, protocol, lab)
    base = tuple(_specimen(db, crop, i, j, s) for j, s in enumerate(protocol.take))
    rules, rule_changes = _handling(db, crop, i, protocol, lab)
    window, window_origin = (
        protocol.window,
        _origin(db, "protocol", "crop", crop.crop, ("protocols", i, "window"), _basis_sources(db, protocol.take)),
    )
    changes: list[Change] = []
    specimens = base
    if entry is not None and entry_origin is not None:
        first, part_changes = _changed(base[0], entry, entry_origin)
        specimens, changes = (first, *base[1:]), part_changes
        if entry.window is not None and entry.window != window:
            changes.append(Change("window", window, entry.window, entry_origin))
            window, window_origin = entry.window, entry_origin
    dropped = any(change.key in OTHER_LEAF for change in changes)
    if dropped and lab is not None and "mix" not in lab.handling:
        rules.pop("mix", None)
    return LocalProtocol(
        crop=crop,
        protocol=protocol,
        lab=lab,
        window=window,
        window_origin=window_origin,
        specimens=specimens,
        handling=rules,
        changes=(*changes, *rule_changes),
        result=() if dropped else protocol.result,
        notes=() if dropped else protocol.notes,
        cautions=_cautions(db, crop, protocol),
        card=_card(protocol, specimens[0].how, entry, dropped),
    )


def _card(protocol: Protocol, how: tuple[Cited, ...], entry: LabProtocol | None, dropped: bool) -> CardLines:
    """The card's own lines, else the first of the handout. Another leaf or stalk drops the base's way of taking it."""
    base = CardLines(see=protocol.card.see) if dropped else protocol.card
    lab = entry.card if entry else CardLines()
    return CardLines(
        see=lab.see or base.see or protocol.see[0],
        how=lab.how or base.how or how[:2],
    )


def _origin(
    db: Database,
    layer: Layer,
    kind: str,
    key: str,
    path: tuple[str | int, ...],
    sources: tuple[str, ...],
    checked_on: date | None = None,
) -> Origin:
    file, line = db.places.at(kind, key, *path)
    return Origin(layer, file, line, sources, checked_on)


def _basis_sources(db: Database, take: tuple[Specimen, ...]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(db.sampling[r].source for s in take for r in s.basis if r in db.sampling))


def _said_by(db: Database, specimen: Specimen, field: str, value: object) -> tuple[str, ...]:
    """Sources of the basis rows whose field says this value."""
    rows = [db.sampling[r] for r in specimen.basis if r in db.sampling]
    return tuple(dict.fromkeys(row.source for row in rows if getattr(row, field) == value))


def _specimen(db: Database, crop: Crop, i: int, j: int, specimen: Specimen) -> LocalSpecimen:
    path = ("protocols", i, "take", j)

    def origin(field: str, sources: tuple[str, ...]) -> Origin:
        return _origin(db, "protocol", "crop", crop.crop, (*path, field), sources)

    basis = _basis_sources(db, (specimen,))
    counted = tuple(
        dict.fromkeys(
            db.sampling[r].source for r in specimen.basis if r in db.sampling and db.sampling[r].count_min is not None
        )
    )
    count_sources = (specimen.count.source or counted) if specimen.count else ()
    return LocalSpecimen(
        kind=specimen.kind,
        part=specimen.part,
        petiole=specimen.petiole,
        count=specimen.count,
        spots=specimen.spots,
        how=specimen.how,
        basis=specimen.basis,
        origin={
            "part": origin("part", _said_by(db, specimen, "part", specimen.part) if specimen.part else ()),
            "petiole": origin("petiole", basis),
            "count": origin("count", count_sources),
            "spots": origin("spots", specimen.spots.source if specimen.spots else ()),
            "how": origin("how", tuple(dict.fromkeys(s for line in specimen.how for s in line.source))),
        },
    )


def _lab_entry(
    db: Database, crop: Crop, protocol: Protocol, lab: Lab | None
) -> tuple[LabProtocol | None, Origin | None]:
    if lab is None:
        return None, None
    for i, entry in enumerate(lab.protocols):
        if (entry.crop, entry.protocol) == (crop.crop, protocol.protocol):
            return entry, _origin(
                db,
                "lab",
                "lab",
                lab.lab,
                ("protocols", i),
                entry.source or lab.source,
                entry.checked_on or lab.checked_on,
            )
    return None, None


def _changed(base: LocalSpecimen, entry: LabProtocol, origin: Origin) -> tuple[LocalSpecimen, list[Change]]:
    """The first specimen after a lab entry. A new part brings its own how, never the base's."""
    values: dict[str, Any] = {}
    changes: list[Change] = []
    for key in ("part", "petiole", "count", "spots"):
        wanted = getattr(entry, key)
        before = getattr(base, key)
        if wanted is not None and wanted != before:
            values[key] = wanted
            changes.append(Change(key, before, wanted, origin))
    how = tuple(Cited(say=line.say, source=line.source or origin.sources) for line in entry.say)
    renewed = not OTHER_LEAF.isdisjoint(values)
    if not renewed:
        how = (*base.how, *how)
    origins = {**base.origin, **{key: origin for key in values}}
    if entry.say or renewed:
        origins["how"] = origin
    return LocalSpecimen(
        kind=base.kind,
        part=values.get("part", base.part),
        petiole=values.get("petiole", base.petiole),
        count=values.get("count", base.count),
        spots=values.get("spots", base.spots),
        how=how,
        basis=base.basis,
        origin=origins,
    ), changes


def _handling(
    db: Database, crop: Crop, i: int, protocol: Protocol, lab: Lab | None
) -> tuple[dict[str, LocalRule], list[Change]]:
    group = db.groups.get(crop.group)
    layers: list[tuple[Layer, str, str, tuple[str | int, ...], Mapping[HandlingTopic, Handling]]] = [
        ("base", "handling", "base", (), db.handling),
        ("group", "group", crop.group, (), group.handling if group else {}),
        ("crop", "crop", crop.crop, (), crop.handling),
        ("protocol", "crop", crop.crop, ("protocols", i), protocol.handling),
    ]
    rules: dict[str, LocalRule] = {}
    for layer, kind, key, path, said in layers:
        for topic, rule in said.items():
            rules[topic] = LocalRule(
                topic, rule, _origin(db, layer, kind, key, (*path, "handling", topic), handling_sources(db, rule))
            )
    changes: list[Change] = []
    for topic, lab_rule in (lab.handling if lab else {}).items():
        assert lab is not None
        origin = _origin(
            db,
            "lab",
            "lab",
            lab.lab,
            ("handling", topic),
            lab_rule.source or lab.source,
            lab_rule.checked_on or lab.checked_on,
        )
        before = rules.get(topic)
        rules[topic] = LocalRule(topic, lab_rule, origin)
        changes.append(Change(topic, before.rule if before else None, lab_rule, origin))
    return rules, changes


def handling_sources(db: Database, rule: Handling) -> tuple[str, ...]:
    """Sources of a handling rule: those of its sentences and of its basis rows, each once."""
    named = [s for said in rule.say for s in said.source]
    rows = [db.handling_rows[r].source for r in rule.basis if r in db.handling_rows]
    return tuple(dict.fromkeys((*named, *rows)))


def _cautions(db: Database, crop: Crop, protocol: Protocol) -> tuple[str, ...]:
    group = db.groups.get(crop.group)
    names = (*db.cautions_always, *(group.cautions if group else ()), *crop.cautions, *protocol.cautions)
    return tuple(dict.fromkeys(n for n in names if n in db.cautions))
