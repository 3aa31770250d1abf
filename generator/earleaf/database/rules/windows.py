"""Windows of one crop: in order, told apart where they overlap, and no silent hole between them."""

from __future__ import annotations

from collections.abc import Iterator

from ...model.crop import Crop
from ...model.finding import Finding
from ...model.stages import StageSeries
from ..ask import span
from ..load import Database
from .base import Context, Faults, Rule


def check(db: Database, context: Context) -> Iterator[Finding]:
    yield from _systems(db)
    for crop in db.crops.values():
        yield from _order(db, crop)
        yield from _overlaps(db, crop)
        yield from _holes(db, crop)
    yield from _labs(db)


def _labs(db: Database) -> Iterator[Finding]:
    """A lab may move a window, but not turn it round."""
    f = Faults(db, RULE.name)
    for key, lab in db.labs.items():
        for i, entry in enumerate(lab.protocols):
            if entry.window is None or entry.crop not in db.crops:
                continue
            where = span(db, db.crops[entry.crop], entry.window.first, entry.window.last)
            if where is not None and where[0] > where[1]:
                yield f.at(
                    "lab",
                    key,
                    ("protocols", i, "window"),
                    f"stages run backwards: {entry.window.first} comes after {entry.window.last}",
                    "swap them",
                )


def _systems(db: Database) -> Iterator[Finding]:
    """Stage systems: series that run forwards, and each code once."""
    f = Faults(db, RULE.name)
    for key, system in db.systems.items():
        for i, entry in enumerate(system.stages):
            if isinstance(entry, StageSeries) and entry.first > entry.last:
                yield f.at(
                    "system", key, ("stages", i), f"the series runs from {entry.first} to {entry.last}", "swap them"
                )
        codes = [stage.code for stage in db.stages[key]]
        for code in sorted({c for c in codes if codes.count(c) > 1}):
            yield f.at("system", key, ("stages",), f"stage {code!r} is here twice", "keep one of them")


def _order(db: Database, crop: Crop) -> Iterator[Finding]:
    f = Faults(db, RULE.name)
    starts: list[int] = []
    for i, protocol in enumerate(crop.protocols):
        where = span(db, crop, protocol.window.first, protocol.window.last)
        if where is None:
            continue
        if where[0] > where[1]:
            yield f.at(
                "crop",
                crop.crop,
                ("protocols", i, "window"),
                f"stages run backwards: {protocol.window.first} comes after {protocol.window.last}",
                "swap them",
            )
        if starts and where[0] < starts[-1]:
            yield f.at(
                "crop",
                crop.crop,
                ("protocols", i, "window"),
                f"{protocol.protocol!r} starts earlier than the protocol before it",
                "order protocols by stage",
            )
        starts.append(where[0])
    for i, protocol in enumerate(crop.protocols):
        for j, after in enumerate(protocol.after):
            if after.days_from > after.days_to:
                yield f.at(
                    "crop",
                    crop.crop,
                    ("protocols", i, "after", j),
                    f"days_from {after.days_from} is above days_to {after.days_to}",
                    "swap them",
                )


def _overlaps(db: Database, crop: Crop) -> Iterator[Finding]:
    f = Faults(db, RULE.name)
    for i, protocol in enumerate(crop.protocols):
        a = span(db, crop, protocol.window.first, protocol.window.last)
        for other in crop.protocols[:i]:
            b = span(db, crop, other.window.first, other.window.last)
            if a and b and a[0] <= b[1] and b[0] <= a[1] and not (protocol.tell_apart or other.tell_apart):
                yield f.at(
                    "crop",
                    crop.crop,
                    ("protocols", i),
                    f"{protocol.protocol!r} and {other.protocol!r} overlap and nothing tells them apart",
                    "add `tell_apart:` to one of them: when does the scout take this one?",
                )


def _holes(db: Database, crop: Crop) -> Iterator[Finding]:
    f = Faults(db, RULE.name)
    spans = [s for p in crop.protocols if (s := span(db, crop, p.window.first, p.window.last))]
    if not spans:
        return
    filled = {n for a, b in spans for n in range(a, b + 1)}
    for i, gap in enumerate(crop.gaps):
        where = span(db, crop, gap.first, gap.last)
        if where is None:
            continue
        taken = filled & set(range(where[0], where[1] + 1))
        if taken:
            code = db.stages[crop.stage_system][min(taken)].code
            yield f.at(
                "crop", crop.crop, ("gaps", i), f"the gap holds {code}, which a protocol covers", "narrow the gap"
            )
        filled |= set(range(where[0], where[1] + 1))
    stages = db.stages[crop.stage_system]
    missing = [n for n in range(min(a for a, _ in spans), max(b for _, b in spans)) if n not in filled]
    if missing:
        codes = ", ".join(stages[n].code for n in missing[:4]) + (" ..." if len(missing) > 4 else "")
        yield f.at(
            "crop",
            crop.crop,
            ("protocols",),
            f"no protocol and no declared gap at {codes}",
            "add a `gaps:` entry that says why, or widen a window",
        )


RULE = Rule("window", "Windows run forwards and in order, overlaps are told apart, holes are declared as gaps.", check)
