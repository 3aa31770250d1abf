"""Ids are for ever: unique, never taken twice, and never renamed without an alias."""

from __future__ import annotations

from collections.abc import Iterator

from ...model.finding import Finding
from ..ask import protocols
from ..load import Database
from .base import Context, Faults, Rule


def check(db: Database, context: Context) -> Iterator[Finding]:
    f = Faults(db, RULE.name)
    short: dict[str, str] = {}
    known: dict[str, str] = {}
    for crop, i, protocol in protocols(db):
        address = f"{crop.crop}/{protocol.protocol}"
        where = ("protocols", i)
        if address in known:
            yield f.at("crop", crop.crop, (*where, "protocol"), f"protocol {protocol.protocol!r} is here twice",
                       "give one another id")
        known[address] = protocol.short_id
        for crop_id in (crop.crop, *crop.aliases):
            for name in (protocol.protocol, *protocol.aliases):
                known.setdefault(f"{crop_id}/{name}", protocol.short_id)
        if protocol.short_id in short:
            yield f.at("crop", crop.crop, (*where, "short_id"),
                       f"short_id {protocol.short_id!r} is taken by {short[protocol.short_id]}", "choose another")
        short[protocol.short_id] = address
    for address, (short_id, line) in db.published_ids.items():
        if address not in known:
            yield f.row(f"published:{address}", f"{address} was published and is gone",
                        "if it was renamed, add the old id under `aliases:`; a published address is never dropped")
        elif short_id and known[address] != short_id:
            yield f.row(f"published:{address}", f"{address} was published with short_id {short_id}, now {known[address]}",
                        "put the old short_id back; it is printed on cards")
        elif short_id and short.get(short_id, address) != address and address in {
                f"{c.crop}/{p.protocol}" for c, _, p in protocols(db)}:
            yield f.row(f"published:{address}", f"short_id {short_id} now belongs to {short[short_id]}", "choose another")


RULE = Rule("id", "Ids are unique, short ids are never reused, and a published id is never lost without an alias.", check)
