"""A lab that wants another part, or another stalk, says how to take it: what the base says of that no longer holds."""

from __future__ import annotations

from collections.abc import Iterator

from ...model.finding import Finding
from ..load import Database
from .base import Context, Faults, Rule


def check(db: Database, context: Context) -> Iterator[Finding]:
    f = Faults(db, RULE.name)
    for key, lab in db.labs.items():
        for i, entry in enumerate(lab.protocols):
            changed = "part" if entry.part else "petiole" if entry.petiole else None
            if changed and not entry.say:
                yield f.at(
                    "lab",
                    key,
                    ("protocols", i, changed),
                    f"{changed} changes for {entry.crop}/{entry.protocol} and nothing says how to take it",
                    "add `say:`, one idea a line; the base's own lines are left out, so no page mixes two protocols",
                )


RULE = Rule("lab-how", "A lab that changes part or stalk says how to take it.", check)
