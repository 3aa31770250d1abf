"""Counts must be countable: low to high, and spots times leaves per spot inside the published count."""

from __future__ import annotations

from collections.abc import Iterator

from ...model.crop import Count, Specimen, Spots
from ...model.finding import Finding
from ...model.lab import LabProtocol
from ..ask import protocols
from ..load import Database
from .base import Context, Faults, Rule

NOT_WALKED = frozenset({"locations", "pints", "handfuls", "sections"})


def check(db: Database, context: Context) -> Iterator[Finding]:
    f = Faults(db, RULE.name)
    for crop, i, protocol in protocols(db):
        for j, specimen in enumerate(protocol.take):
            where: tuple[str | int, ...] = ("protocols", i, "take", j)
            for path, message, hint in faults(specimen.count, specimen.spots):
                yield f.at("crop", crop.crop, (*where, *path), message, hint)
    for key, lab in db.labs.items():
        for i, entry in enumerate(lab.protocols):
            base = _base(db, entry)
            count = entry.count or (base.count if base else None)
            spots = entry.spots or (base.spots if base else None)
            for path, message, hint in faults(count, spots) if entry.count or entry.spots else ():
                here = path if entry.spots else ("count",)
                yield f.at(
                    "lab",
                    key,
                    ("protocols", i, *here),
                    message,
                    f"{hint}; what the lab leaves out stays as in the crop file",
                )
    for key, row in db.sampling.items():
        if row.count_max is not None and row.count_min is None:
            yield f.row(key, "count_max without count_min", "put a single figure into count_min")
        if row.count_min is not None and row.count_max is not None and row.count_max < row.count_min:
            yield f.row(key, f"count_min {row.count_min:g} is above count_max {row.count_max:g}", "swap them")
        if row.count_min is not None and row.count_unit is None:
            yield f.row(key, "a count without a unit", "say what is counted: plants, leaves, petioles ...")


def _base(db: Database, entry: LabProtocol) -> Specimen | None:
    """What the lab's entry changes: the first bag of that protocol."""
    crop = db.crops.get(entry.crop)
    return next((p.take[0] for p in crop.protocols if p.protocol == entry.protocol), None) if crop else None


def faults(count: Count | None, spots: Spots | None) -> Iterator[tuple[tuple[str, ...], str, str]]:
    """(path, message, hint) for one count and the way it is walked."""
    if count is not None and count.max is not None and count.max < count.min:
        yield ("count",), f"min {count.min:g} is above max {count.max:g}", "swap them"
        return
    if count is None or spots is None or count.unit in NOT_WALKED:
        return
    total = spots.number * spots.each
    high = count.max if count.max is not None else None
    if total < count.min or (high is not None and total > high):
        limits = f"at least {count.min:g}" if high is None else f"{count.min:g} to {high:g}"
        limits = f"{high:g}" if high == count.min else limits
        yield (
            ("spots",),
            f"{spots.number} spots of {spots.each} make {total}; the count is {limits} {count.unit}",
            "change number or each so that the bag holds the published count",
        )


RULE = Rule("count", "Counts run low to high, have a unit, and spots times each gives the published count.", check)
