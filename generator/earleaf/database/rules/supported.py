"""A protocol's part, count and stages must each be said by a row it rests on, or name a source of their own."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from ...model.crop import After, Crop, Dates, Protocol, Specimen
from ...model.finding import Finding
from ...model.source import NOT_PUBLICATIONS
from ..ask import basis_rows, protocols, span, unit_fits
from ..load import Database
from .base import Context, Faults, Rule


def check(db: Database, context: Context) -> Iterator[Finding]:
    f = Faults(db, RULE.name)
    heard: dict[str, set[str]] = {}
    for row in db.sampling.values():
        heard.setdefault(row.crop, set()).add(row.source)
    for crop, i, protocol in protocols(db):
        for j, specimen in enumerate(protocol.take):
            where = ("protocols", i, "take", j)
            if specimen.part is None and specimen.count is None and not specimen.basis:
                continue
            if not specimen.basis:
                yield f.at("crop", crop.crop, where, "no basis row", "name the rows of evidence/ this rests on")
                continue
            if _known(db, specimen):
                yield from _specimen(db, f, crop, specimen, where)
        yield from _window(db, f, crop, i, protocol)
        yield from _times(db, f, crop, i, protocol, heard.get(crop.crop, set()) | NOT_PUBLICATIONS)


def _known(db: Database, specimen: Specimen) -> bool:
    """Whether every name in it exists; if not, that is told already, and what follows from it is not a second fault."""
    return (
        all(row in db.sampling for row in specimen.basis)
        and (specimen.part is None or specimen.part in db.parts)
        and (specimen.count is None or specimen.count.unit in db.units)
    )


def _specimen(
    db: Database, f: Faults, crop: Crop, specimen: Specimen, where: tuple[str | int, ...]
) -> Iterator[Finding]:
    rows = basis_rows(db, specimen)
    parts = {row.part for row in rows if row.part}
    if specimen.part is not None and specimen.part not in parts:
        said = ", ".join(sorted(parts)) or "no part at all"
        yield f.at(
            "crop",
            crop.crop,
            (*where, "part"),
            f"no basis row says {specimen.part!r}; they say {said}",
            "name a row that does, or take one of those parts",
        )
    for row in rows:
        if row.crop not in (crop.crop, "any-crop"):
            yield f.at(
                "crop", crop.crop, (*where, "basis"), f"row {row.row} is about {row.crop}", "use rows of this crop"
            )
    count = specimen.count
    if count is None:
        return
    fits = [
        row for row in rows if row.count_min is not None and unit_fits(db, row.count_unit, count.unit, specimen.part)
    ]
    if not fits and not count.source:
        yield f.at(
            "crop",
            crop.crop,
            (*where, "count"),
            f"no basis row counts in {count.unit}",
            "use the unit of a row, or give the count a source of its own such as common-practice",
        )
    elif fits and not count.source:
        lows = {row.count_min for row in fits} | {row.count_max for row in fits}
        low, high = min(row.count_min or 0 for row in fits), max(row.count_max or row.count_min or 0 for row in fits)
        top = count.max if count.max is not None else count.min
        if count.min not in lows or top not in lows:
            yield f.at(
                "crop",
                crop.crop,
                (*where, "count"),
                f"no basis row says {count.min:g} to {top:g}; they range from {low:g} to {high:g}",
                "carry over a figure that a row prints",
            )


def _window(db: Database, f: Faults, crop: Crop, i: int, protocol: Protocol) -> Iterator[Finding]:
    """The window must lie inside what the basis rows with mapped stages cover together."""
    mine = span(db, crop, protocol.window.first, protocol.window.last)
    if mine is None:
        return
    if not all(_known(db, specimen) for specimen in protocol.take):
        return
    covered: set[int] = set()
    for specimen in protocol.take:
        for row in basis_rows(db, specimen):
            if row.stage_from:
                theirs = span(db, crop, row.stage_from, row.stage_to or row.stage_from)
                if theirs:
                    covered |= set(range(theirs[0], theirs[1] + 1))
    outside = [n for n in range(mine[0], mine[1] + 1) if n not in covered]
    if covered and outside:
        code = db.stages[crop.stage_system][outside[0]].code
        yield f.at(
            "crop",
            crop.crop,
            ("protocols", i, "window"),
            f"no basis row covers stage {code}",
            "narrow the window, or add the row that covers it",
        )


def _times(
    db: Database, f: Faults, crop: Crop, i: int, protocol: Protocol, heard: Collection[str]
) -> Iterator[Finding]:
    """Dates and days after an event: each source named must have a row about this crop, which `heard` are."""
    kinds: tuple[tuple[str, tuple[Dates | After, ...]], ...] = (("dates", protocol.dates), ("after", protocol.after))
    for key, times in kinds:
        for j, time in enumerate(times):
            for source in time.source:
                if source not in heard and not db.is_missing("source", source, db.sources):
                    yield f.at(
                        "crop",
                        crop.crop,
                        ("protocols", i, key, j),
                        f"no row of {source!r} speaks about {crop.crop}",
                        "add the row that prints this time, or name its source",
                    )


RULE = Rule("not-supported", "Part, count and stages of a protocol are each said by a row it rests on.", check)
