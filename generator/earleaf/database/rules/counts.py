"""Counts must be countable: low to high, and spots times leaves per spot inside the published count."""

from __future__ import annotations

from collections.abc import Iterator

from ...model.crop import Count, Spots
from ...model.finding import Finding
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
            for path, message, hint in faults(entry.count, entry.spots):
                yield f.at("lab", key, ("protocols", i, *path), message, hint)
    for key, row in db.sampling.items():
        if row.count_max is not None and row.count_min is None:
            yield f.row(key, "count_max without count_min", "put a single figure into count_min")
        if row.count_min is not None and row.count_max is not None and row.count_max < row.count_min:
            yield f.row(key, f"count_min {row.count_min:g} is above count_max {row.count_max:g}", "swap them")
        if row.count_min is not None and row.count_unit is None:
            yield f.row(key, "a count without a unit", "say what is counted: plants, leaves, petioles ...")


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
        limits = f"{count.min:g} to {high:g}" if high is not None else f"at least {count.min:g}"
        yield (("spots",), f"{spots.number} spots of {spots.each} make {total}; the count is {limits} {count.unit}",
               "change number or each so that the bag holds the published count")


RULE = Rule("count", "Counts run low to high, have a unit, and spots times each gives the published count.", check)
