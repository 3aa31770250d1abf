"""Ids are for ever: unique, never taken twice, and never renamed without an alias."""

from __future__ import annotations

from collections.abc import Iterator

from ...model.crop import Crop, Protocol, Retired
from ...model.finding import Finding
from ..ask import protocols
from ..load import Database
from .base import Context, Faults, Rule


def check(db: Database, context: Context) -> Iterator[Finding]:
    f = Faults(db, RULE.name)
    short: dict[str, str] = {}
    known: dict[str, str] = {}
    yield from _lab_twice(db, f)
    yield from _aliases(db, f)
    for crop, i, protocol in protocols(db):
        address = f"{crop.crop}/{protocol.protocol}"
        where = ("protocols", i)
        if address in known:
            yield f.at(
                "crop",
                crop.crop,
                (*where, "protocol"),
                f"protocol {protocol.protocol!r} is here twice",
                "give one of them another id",
            )
        known[address] = protocol.short_id
        _remember(crop, protocol, known)
        if protocol.short_id in short:
            yield f.at(
                "crop",
                crop.crop,
                (*where, "short_id"),
                f"short_id {protocol.short_id!r} is taken by {short[protocol.short_id]}",
                "choose another",
            )
        short.setdefault(protocol.short_id, address)
    yield from _retired(db, f, short, known)
    for crop in db.left_out.values():
        every: tuple[Protocol | Retired, ...] = (*crop.protocols, *crop.retired)
        for left in every:
            _remember(crop, left, known)
            short.setdefault(left.short_id, f"{crop.crop}/{left.protocol}")
    for address, (short_id, _) in db.published_ids.items():
        if address not in known:
            if db.unread & {("crop", address.split("/")[0]), ("crop", "")}:
                continue
            yield f.row(
                f"published:{address}",
                f"{address} was published and is gone",
                "renamed? Add the old id under `aliases:`. Given up? List it under `retired:`. It is never dropped",
            )
        elif short_id and known[address] != short_id:
            yield f.row(
                f"published:{address}",
                f"{address} was published with short_id {short_id}, now {known[address]}",
                "put the old short_id back; it is printed on cards",
            )
        elif (
            short_id
            and short.get(short_id, address) != address
            and address in {f"{c.crop}/{p.protocol}" for c, _, p in protocols(db)}
        ):
            yield f.row(
                f"published:{address}", f"short_id {short_id} now belongs to {short[short_id]}", "choose another"
            )


def _retired(db: Database, f: Faults, short: dict[str, str], known: dict[str, str]) -> Iterator[Finding]:
    """What is no more keeps its ids: nothing else may take them."""
    for crop in db.crops.values():
        for i, old in enumerate(crop.retired):
            address = f"{crop.crop}/{old.protocol}"
            by = {"short_id": short.get(old.short_id), "protocol": address if address in known else None}
            for key, taken in by.items():
                if taken:
                    said = f"{key} {getattr(old, key)!r} of a retired protocol is taken by {taken}"
                    yield f.at("crop", crop.crop, ("retired", i, key), said, "give the other one a new id")
            _remember(crop, old, known)
            short.setdefault(old.short_id, address)


def _remember(crop: Crop, protocol: Protocol | Retired, known: dict[str, str]) -> None:
    """A protocol under every id it has or had."""
    for crop_id in (crop.crop, *crop.aliases):
        for name in (protocol.protocol, *(protocol.aliases if isinstance(protocol, Protocol) else ())):
            known.setdefault(f"{crop_id}/{name}", protocol.short_id)


def _aliases(db: Database, f: Faults) -> Iterator[Finding]:
    """An old id leads to what bears it no more; it must not be the id of something else."""
    for key, crop in db.crops.items():
        for alias in crop.aliases:
            if alias in db.every_crop():
                yield f.at("crop", key, ("aliases",), f"alias {alias!r} is the id of a crop", "remove the alias")
        names = {p.protocol for p in crop.protocols}
        for i, protocol in enumerate(crop.protocols):
            for alias in protocol.aliases:
                if alias in names:
                    yield f.at(
                        "crop",
                        key,
                        ("protocols", i, "aliases"),
                        f"alias {alias!r} is the id of a protocol",
                        "remove the alias, or give the new protocol another id",
                    )


def _lab_twice(db: Database, f: Faults) -> Iterator[Finding]:
    for key, lab in db.labs.items():
        seen: set[tuple[str, str]] = set()
        for i, entry in enumerate(lab.protocols):
            if (entry.crop, entry.protocol) in seen:
                yield f.at(
                    "lab",
                    key,
                    ("protocols", i),
                    f"{entry.crop}/{entry.protocol} is here twice",
                    "make one entry of the two; the second would be ignored",
                )
            seen.add((entry.crop, entry.protocol))


RULE = Rule(
    "id", "Ids are unique, short ids are never reused, and a published id is never lost without an alias.", check
)
