"""The data other programs may rely on: version 1, sorted keys, no build time."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Any

from ..database.load import Database
from ..model.crop import Count, Spots, Window
from ..model.vocabulary import Handling
from ..planning.compare import Compared, compare_rows
from ..planning.localise import Change, LocalProtocol, LocalSpecimen
from ..views.common import part_name, protocol_address
from ..views.words import Words

VERSION = 1


def to_bytes(value: Any) -> bytes:
    """JSON as published: sorted keys, one newline at the end."""
    return (json.dumps(value, ensure_ascii=False, sort_keys=True) + "\n").encode("utf-8")


def data_address(local: LocalProtocol) -> str:
    inside = f"{local.crop.crop}/{local.protocol.protocol}.json"
    return f"data/v1/labs/{local.lab.lab}/{inside}" if local.lab else f"data/v1/crops/{inside}"


def _count(count: Count | None) -> dict[str, Any] | None:
    return (
        None
        if count is None
        else {"min": count.min, "max": count.max, "unit": count.unit, "source": list(count.source)}
    )


def _spots(spots: Spots | None) -> dict[str, Any] | None:
    return None if spots is None else {"number": spots.number, "each": spots.each, "source": list(spots.source)}


def _part(db: Database, words: Words, part: str | None) -> dict[str, str] | None:
    return None if part is None else {"id": part, "text": part_name(db, words, part)}


def _specimen(db: Database, words: Words, s: LocalSpecimen) -> dict[str, Any]:
    return {
        "kind": s.kind,
        "part": _part(db, words, s.part),
        "petiole": s.petiole,
        "count": _count(s.count),
        "spots": _spots(s.spots),
        "basis": list(s.basis),
        "how": [words.say(h.say) for h in s.how],
        "sources": {key: list(origin.sources) for key, origin in s.origin.items()},
    }


def published_row(c: Compared) -> dict[str, Any]:
    r = c.row
    return {
        "row": r.row,
        "source": r.source,
        "crop": r.crop,
        "stages": r.stage_text,
        "stage_from": r.stage_from,
        "stage_to": r.stage_to,
        "condition": r.condition,
        "part": r.part,
        "count_min": r.count_min,
        "count_max": r.count_max,
        "count_unit": r.count_unit,
        "agrees": c.agrees,
        "differs_in": list(c.differs_in),
    }


def _value(words: Words, value: object) -> Any:
    if isinstance(value, Count):
        return _count(value)
    if isinstance(value, Spots):
        return _spots(value)
    if isinstance(value, Window):
        return {"from": value.first, "to": value.last}
    if isinstance(value, Handling):
        return [words.say(line.say) for line in value.say]
    return value


def _change(words: Words, c: Change) -> dict[str, Any]:
    return {
        "key": c.key,
        "from": _value(words, c.before),
        "to": _value(words, c.after),
        "source": list(c.origin.sources),
        "checked_on": c.origin.checked_on.isoformat() if c.origin.checked_on else None,
    }


def protocol_data(db: Database, words: Words, local: LocalProtocol) -> dict[str, Any]:
    """One protocol, for one lab or for any."""
    p, first = local.protocol, local.specimens[0]
    specimens = [_specimen(db, words, s) for s in local.specimens]
    soil = local.handling.get("soil")
    return {
        "data_version": VERSION,
        "crop": local.crop.crop,
        "protocol": p.protocol,
        "version": p.version,
        "checked_on": p.checked_on.isoformat(),
        "short_id": p.short_id,
        "changes": [
            {"version": c.version, "on": c.on.isoformat(), "what": words.say(c.what.say), "source": list(c.what.source)}
            for c in p.changes
        ],
        "use": p.use,
        "lab": local.lab.lab if local.lab else None,
        "stages": {"system": local.crop.stage_system, "from": local.window.first, "to": local.window.last},
        "dates": [
            {"from": d.first, "to": d.last, "hemisphere": d.hemisphere, "source": list(d.source)} for d in p.dates
        ],
        "after": [
            {"event": a.event, "days_from": a.days_from, "days_to": a.days_to, "source": list(a.source)}
            for a in p.after
        ],
        "condition": [words.say(s.say) for s in p.see],
        "part": _part(db, words, first.part),
        "count": _count(first.count),
        "spots": _spots(first.spots),
        "specimens": specimens,
        "also_accepted": [
            {"part": a.part, "sources": [db.sampling[r].source for r in a.basis if r in db.sampling]}
            for a in p.also_accepted
        ],
        "basis": sorted({db.sampling[r].source for s in p.take for r in s.basis if r in db.sampling}),
        "published": [published_row(c) for c in compare_rows(db, local)],
        "handling": {
            topic: {
                "say": [words.say(s.say) for s in rule.rule.say],
                "sources": list(rule.origin.sources),
                "from": rule.origin.layer,
            }
            for topic, rule in local.handling.items()
        },
        "soil_pair": [words.say(s.say) for s in soil.rule.say] if soil else [],
        "changed_by_lab": [_change(words, c) for c in local.changes],
        "cautions": list(local.cautions),
        "page": protocol_address(local.crop, p, local.lab.lab if local.lab else None),
    }


def index_data(
    db: Database, words: Words, others: Sequence[Words] = (), files: Mapping[str, str] = MappingProxyType({})
) -> dict[str, Any]:
    """What there is: crops with their protocols, labs, stage systems; every file (`files`: name to schema).

    `others` are the words of the other languages; a crop has no name in one that has no translation of it.
    """
    every = (words, *others)
    return {
        "version": VERSION,
        "crops": [
            {
                "id": c.crop,
                "latin": c.latin,
                "names": {w.language: w.say(c.name) for w in every if not w.lacks(c.name)},
                "stage_system": c.stage_system,
                "protocols": [
                    {
                        "id": p.protocol,
                        "short_id": p.short_id,
                        "version": p.version,
                        "page": protocol_address(c, p),
                        "data": f"data/v1/crops/{c.crop}/{p.protocol}.json",
                    }
                    for p in c.protocols
                ],
                "retired": [
                    {"id": r.protocol, "short_id": r.short_id, "on": r.on.isoformat(), "replaced_by": r.replaced_by}
                    for r in c.retired
                ],
            }
            for c in db.crops.values()
        ],
        "labs": [{"id": lab.lab, "name": lab.name, "page": f"labs/{lab.lab}/"} for lab in db.labs.values()],
        "stage_systems": [
            {"id": s.system, "stages": [x.code for x in db.stages[s.system]]} for s in db.systems.values()
        ],
        "languages": [w.language for w in every],
        "files": [
            {"schema": schema, "files": sorted(name for name, follows in files.items() if follows == schema)}
            for schema in sorted(set(files.values()))
        ],
    }
