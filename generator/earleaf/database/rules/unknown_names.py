"""Every id that is used must exist: sources, parts, units, stages, rows, groups, cautions, crops."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from ...model.finding import Finding
from ...model.vocabulary import Handling
from ..ask import ANY_CROP, Path, protocols, said_sentences, walk
from ..load import Database
from .base import Context, Faults, Rule, near


def check(db: Database, context: Context) -> Iterator[Finding]:
    yield from _sources(db)
    yield from _crops(db)
    yield from _protocols(db)
    yield from _labs(db)
    yield from _rows(db)
    yield from _vocabulary(db)


def _sources(db: Database) -> Iterator[Finding]:
    """Sources named anywhere inside a record, cited sentences included."""
    f = Faults(db, RULE.name)
    for kind, records in (
        ("crop", db.crops),
        ("lab", db.labs),
        ("system", db.systems),
        ("group", db.groups),
        ("caution", db.cautions),
        ("fault", db.faults),
    ):
        for key, record in records.items():
            for path, name in _source_names(record):
                if db.is_missing("source", name, db.sources):
                    yield f.at(kind, key, path, f"unknown source {name!r}", near(name, db.sources))
    for topic, rule in db.handling.items():
        for path, said in said_sentences(rule):
            for name in said.source:
                if db.is_missing("source", name, db.sources):
                    yield f.at(
                        "handling",
                        "base",
                        ("handling", topic, *path),
                        f"unknown source {name!r}",
                        near(name, db.sources),
                    )


def _source_names(record: object) -> Iterator[tuple[Path, str]]:
    """Every source named in a record, at the key that names it."""
    for path, value in walk(record):
        if path and path[-1] == "source" and isinstance(value, tuple):
            for name in value:
                yield path, name


def _crops(db: Database) -> Iterator[Finding]:
    f = Faults(db, RULE.name)
    for key, crop in db.crops.items():
        if db.is_missing("group", crop.group, db.groups):
            yield f.at("crop", key, ("group",), f"unknown group {crop.group!r}", near(crop.group, db.groups))
        if db.is_missing("system", crop.stage_system, db.systems):
            yield f.at(
                "crop",
                key,
                ("stage_system",),
                f"unknown stage system {crop.stage_system!r}",
                near(crop.stage_system, db.systems),
            )
        for name in crop.cautions:
            if db.is_missing("caution", name, db.cautions):
                yield f.at("crop", key, ("cautions",), f"unknown caution {name!r}", near(name, db.cautions))
        for row in crop.also_rows:
            if db.is_missing("row", row, db.sampling):
                yield f.at("crop", key, ("also_rows",), f"unknown row {row!r}", near(row, _rows_of(db, key)))
        for topic, rule in crop.handling.items():
            for row in (*rule.basis, *rule.differs):
                if db.is_missing("handling row", row, db.handling_rows):
                    yield f.at(
                        "crop", key, ("handling", topic), f"unknown handling row {row!r}", near(row, db.handling_rows)
                    )
        for i, system in enumerate(crop.other_systems):
            if db.is_missing("system", system, db.systems):
                yield f.at(
                    "crop", key, ("other_systems", i), f"unknown stage system {system!r}", near(system, db.systems)
                )
        codes = {s.code for s in db.stages.get(crop.stage_system, ())}
        for i, gap in enumerate(crop.gaps):
            for end in (gap.first, gap.last):
                if codes and end not in codes:
                    yield f.at("crop", key, ("gaps", i), f"unknown stage {end!r}", near(end, codes, 30))


def _rows_of(db: Database, crop: str) -> list[str]:
    return [r for r, row in db.sampling.items() if row.crop in (crop, ANY_CROP)] or list(db.sampling)


def _protocols(db: Database) -> Iterator[Finding]:
    f = Faults(db, RULE.name)
    for crop, i, protocol in protocols(db):
        where: tuple[str | int, ...] = ("protocols", i)
        codes = {s.code for s in db.stages.get(crop.stage_system, ())}
        for end, name in (("from", protocol.window.first), ("to", protocol.window.last)):
            if codes and name not in codes:
                yield f.at("crop", crop.crop, (*where, "window", end), f"unknown stage {name!r}", near(name, codes, 30))
        for name in protocol.cautions:
            if db.is_missing("caution", name, db.cautions):
                yield f.at(
                    "crop", crop.crop, (*where, "cautions"), f"unknown caution {name!r}", near(name, db.cautions)
                )
        for j, specimen in enumerate(protocol.take):
            here = (*where, "take", j)
            if specimen.part is not None and db.is_missing("part", specimen.part, db.parts):
                yield f.at(
                    "crop", crop.crop, (*here, "part"), f"unknown part {specimen.part!r}", near(specimen.part, db.parts)
                )
            if specimen.count is not None and db.is_missing("unit", specimen.count.unit, db.units):
                yield f.at(
                    "crop",
                    crop.crop,
                    (*here, "count", "unit"),
                    f"unknown unit {specimen.count.unit!r}",
                    near(specimen.count.unit, db.units, 20),
                )
            for row in specimen.basis:
                if db.is_missing("row", row, db.sampling):
                    yield f.at(
                        "crop", crop.crop, (*here, "basis"), f"unknown row {row!r}", near(row, _rows_of(db, crop.crop))
                    )
        for other in protocol.also_accepted:
            if db.is_missing("part", other.part, db.parts):
                yield f.at(
                    "crop",
                    crop.crop,
                    (*where, "also_accepted"),
                    f"unknown part {other.part!r}",
                    near(other.part, db.parts),
                )
        named = [("differs", protocol.differs), *(("also_accepted", a.basis) for a in protocol.also_accepted)]
        for field, row in ((field, row) for field, rows in named for row in rows):
            if db.is_missing("row", row, db.sampling):
                yield f.at(
                    "crop", crop.crop, (*where, field), f"unknown row {row!r}", near(row, _rows_of(db, crop.crop))
                )
        for topic, rule in protocol.handling.items():
            for row in (*rule.basis, *rule.differs):
                if db.is_missing("handling row", row, db.handling_rows):
                    yield f.at(
                        "crop",
                        crop.crop,
                        (*where, "handling", topic),
                        f"unknown handling row {row!r}",
                        near(row, db.handling_rows),
                    )


def _labs(db: Database) -> Iterator[Finding]:
    f = Faults(db, RULE.name)
    every = db.every_crop()
    for key, lab in db.labs.items():
        for i, entry in enumerate(lab.protocols):
            where: tuple[str | int, ...] = ("protocols", i)
            crop = every.get(entry.crop)
            if crop is None:
                if db.is_missing("crop", entry.crop, every):
                    yield f.at("lab", key, (*where, "crop"), f"unknown crop {entry.crop!r}", near(entry.crop, every))
                continue
            names = {p.protocol for p in crop.protocols}
            if entry.protocol not in names:
                yield f.at(
                    "lab",
                    key,
                    (*where, "protocol"),
                    f"{entry.crop} has no protocol {entry.protocol!r}",
                    near(entry.protocol, names),
                )
            if entry.part is not None and db.is_missing("part", entry.part, db.parts):
                yield f.at("lab", key, (*where, "part"), f"unknown part {entry.part!r}", near(entry.part, db.parts))
            if entry.count is not None and db.is_missing("unit", entry.count.unit, db.units):
                yield f.at(
                    "lab",
                    key,
                    (*where, "count"),
                    f"unknown unit {entry.count.unit!r}",
                    near(entry.count.unit, db.units, 20),
                )
            codes = {s.code for s in db.stages.get(crop.stage_system, ())}
            for end in (entry.window.first, entry.window.last) if entry.window else ():
                if codes and end not in codes:
                    yield f.at("lab", key, (*where, "window"), f"unknown stage {end!r}", near(end, codes, 30))


def _rows(db: Database) -> Iterator[Finding]:
    f = Faults(db, RULE.name)
    every = db.every_crop()
    for key, row in db.sampling.items():
        if db.is_missing("source", row.source, db.sources):
            yield f.row(key, f"unknown source {row.source!r}", near(row.source, db.sources))
        if row.crop != ANY_CROP and db.is_missing("crop", row.crop, every):
            yield f.row(key, f"unknown crop {row.crop!r}", near(row.crop, every))
        if row.part is not None and db.is_missing("part", row.part, db.parts):
            yield f.row(key, f"unknown part {row.part!r}", near(row.part, db.parts))
        if row.count_unit is not None and db.is_missing("unit", row.count_unit, db.units):
            yield f.row(key, f"unknown unit {row.count_unit!r}", near(row.count_unit, db.units, 20))
        crop = every.get(row.crop)
        codes = {s.code for s in db.stages.get(crop.stage_system, ())} if crop else set()
        for end in (row.stage_from, row.stage_to):
            if end is not None and codes and end not in codes:
                yield f.row(key, f"unknown stage {end!r}", near(end, codes, 30))
    for key, rule in db.handling_rows.items():
        if db.is_missing("source", rule.source, db.sources):
            yield f.row(key, f"unknown source {rule.source!r}", near(rule.source, db.sources))


def _vocabulary(db: Database) -> Iterator[Finding]:
    f = Faults(db, RULE.name)
    for key, part in db.parts.items():
        if db.is_missing("unit", part.item, db.units):
            yield f.at("part", key, ("item",), f"unknown unit {part.item!r}", near(part.item, db.units, 20))
    for kind, holders in (("group", db.groups), ("crop", db.crops)):
        for key, holder in holders.items():
            if holder.spot and db.is_missing("unit", holder.spot, db.units):
                yield f.at(kind, key, ("spot",), f"unknown unit {holder.spot!r}", near(holder.spot, db.units, 20))
    for name in db.cautions_always:
        if db.is_missing("caution", name, db.cautions):
            yield f.at("cautions", "file", ("always",), f"unknown caution {name!r}", near(name, db.cautions))
    every: list[tuple[str, str, Mapping[Any, Handling]]] = [("handling", "base", db.handling)]
    every += [("group", key, group.handling) for key, group in db.groups.items()]
    for kind, key, rules in every:
        for topic, rule in rules.items():
            for row in (*rule.basis, *rule.differs):
                if db.is_missing("handling row", row, db.handling_rows):
                    yield f.at(
                        kind, key, ("handling", topic), f"unknown handling row {row!r}", near(row, db.handling_rows)
                    )


RULE = Rule(
    "unknown-name", "Every id that is used exists: source, part, unit, stage, row, group, caution, crop.", check
)
