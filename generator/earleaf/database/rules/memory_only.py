"""What is only remembered may be shown, but no protocol may rest on it."""

from __future__ import annotations

from collections.abc import Iterator

from ...model.finding import Finding
from ...model.source import FROM_MEMORY
from ..ask import basis_rows, protocols
from ..load import Database
from .base import Context, Faults, Rule


def check(db: Database, context: Context) -> Iterator[Finding]:
    f = Faults(db, RULE.name)
    for crop, i, protocol in protocols(db):
        for j, specimen in enumerate(protocol.take):
            rows = basis_rows(db, specimen)
            if rows and len(rows) == len(specimen.basis) and all(row.source == FROM_MEMORY for row in rows):
                yield f.at(
                    "crop",
                    crop.crop,
                    ("protocols", i, "take", j, "basis"),
                    "every basis row is from memory",
                    "find and read a source, or remove the protocol",
                )


RULE = Rule("memory-only", "No protocol rests on memory alone.", check)
