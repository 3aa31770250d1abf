"""Every published row is shown on the page it concerns; none is kept silent."""

from __future__ import annotations

from collections.abc import Iterator

from ...model.finding import Finding
from ..ask import ANY_CROP, protocols
from ..load import Database
from .base import Context, Faults, Rule


def check(db: Database, context: Context) -> Iterator[Finding]:
    f = Faults(db, RULE.name)
    shown = {row for crop in db.crops.values() for row in crop.also_rows}
    for _, _, protocol in protocols(db):
        shown |= set(protocol.differs) | {row for s in protocol.take for row in s.basis}
        shown |= {row for a in protocol.also_accepted for row in a.basis}
    for key, row in db.sampling.items():
        if key not in shown and row.crop in db.crops and row.crop != ANY_CROP:
            yield f.row(
                key, f"row {key} is on no page", f"list it in crops/{row.crop}.yml under basis, differs or also_rows"
            )


RULE = Rule("row-not-shown", "Every published row of a crop is shown on one of its pages.", check)
