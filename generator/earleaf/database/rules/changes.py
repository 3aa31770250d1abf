"""A card in somebody's pocket can be checked: each new version says what it changed, each retired one what to use."""

from __future__ import annotations

from collections.abc import Iterator

from ...model.crop import Crop, Protocol
from ...model.finding import Finding
from ..ask import protocols
from ..load import Database
from ..near import near
from .base import Context, Faults, Rule


def check(db: Database, context: Context) -> Iterator[Finding]:
    f = Faults(db, RULE.name)
    for crop, i, protocol in protocols(db):
        yield from _versions(f, crop, i, protocol)
        for n, change in enumerate(protocol.changes):
            if change.on > context.today:
                said = f"the change is dated {change.on}, which is to come"
                yield f.at("crop", crop.crop, ("protocols", i, "changes", n, "on"), said, "mend the date")
    known = {f"{c.crop}/{p.protocol}" for c in db.every_crop().values() for p in c.protocols}
    for crop in db.crops.values():
        for i, old in enumerate(crop.retired):
            if old.on > context.today:
                said = f"it is retired on {old.on}, which is to come"
                yield f.at("crop", crop.crop, ("retired", i, "on"), said, "mend the date")
            if old.replaced_by and old.replaced_by not in known and not _unread(db, old.replaced_by):
                said = f"there is no protocol {old.replaced_by!r}"
                yield f.at("crop", crop.crop, ("retired", i, "replaced_by"), said, near(old.replaced_by, known))


def _unread(db: Database, name: str) -> bool:
    """Whether a protocol is of a crop whose file could not be read."""
    return bool(db.unread & {("crop", name.split("/")[0]), ("crop", "")})


def _versions(f: Faults, crop: Crop, i: int, protocol: Protocol) -> Iterator[Finding]:
    """One change for each version after the first, in order of version and of day."""
    told = [change.version for change in protocol.changes]
    days = [change.on for change in protocol.changes]
    where = ("protocols", i, "changes")
    if missing := sorted(set(range(2, protocol.version + 1)) - set(told)):
        said = f"version {missing[0]} does not say what it changed"
        hint = f"add `changes:` with {{version: {missing[0]}, on: <day>, what: <what a scout does otherwise>}}"
        yield f.at("crop", crop.crop, ("protocols", i, "version"), said, hint)
    elif beyond := [version for version in told if version > protocol.version]:
        said = f"a change to version {beyond[0]}, but `version` is {protocol.version}"
        yield f.at("crop", crop.crop, where, said, f"set `version: {beyond[0]}`, or mend the change")
    elif told != sorted(set(told)) or days != sorted(days):
        said = f"changes out of order: versions {', '.join(map(str, told))}"
        yield f.at("crop", crop.crop, where, said, "one for each version, the oldest first, in order of their days")


RULE = Rule("changes", "Each new version says what it changed; what is retired names what takes its place.", check)
