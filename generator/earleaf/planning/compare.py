"""Published rows against a protocol: where they agree and in what they differ."""

from __future__ import annotations

from dataclasses import dataclass

from ..database.ask import span, unit_fits
from ..database.load import Database
from ..model.evidence import SamplingRow
from .localise import LocalProtocol, LocalSpecimen


@dataclass(frozen=True)
class Compared:
    """A row and the fields in which it differs from the page: part, count, stage."""

    row: SamplingRow
    differs_in: tuple[str, ...]

    @property
    def agrees(self) -> bool:
        return not self.differs_in


def compare_rows(db: Database, local: LocalProtocol) -> tuple[Compared, ...]:
    """Every published row that concerns this page, in the order of the crop file, each once."""
    protocol = local.protocol
    names = [r for s in protocol.take for r in s.basis]
    names += [r for a in protocol.also_accepted for r in a.basis] + list(protocol.differs)
    return tuple(
        Compared(db.sampling[r], differences(db, local, db.sampling[r]))
        for r in dict.fromkeys(names)
        if r in db.sampling
    )


def differences(db: Database, local: LocalProtocol, row: SamplingRow) -> tuple[str, ...]:
    """Fields in which a row says something else. What a row does not state is no difference."""
    out: list[str] = []
    parts = {s.part for s in local.specimens if s.part}
    if row.part and parts and row.part not in parts:
        out.append("part")
    elif row.count_min is not None and not any(_count_fits(db, s, row) for s in local.specimens):
        out.append("count")
    if row.stage_from:
        mine = span(db, local.crop, local.window.first, local.window.last)
        theirs = span(db, local.crop, row.stage_from, row.stage_to or row.stage_from)
        if mine and theirs and (theirs[0] > mine[1] or mine[0] > theirs[1]):
            out.append("stage")
    return tuple(out)


def _count_fits(db: Database, specimen: LocalSpecimen, row: SamplingRow) -> bool:
    """Whether the bag of this page satisfies the row: the total lies in its range, or reaches its minimum."""
    assert row.count_min is not None
    if row.part and specimen.part and row.part != specimen.part:
        return False
    count, spots = specimen.count, specimen.spots
    if row.count_unit == "locations":
        return spots is None or count is None or count.unit == "locations" or spots.number >= row.count_min
    if count is None or not unit_fits(db, row.count_unit, count.unit, specimen.part):
        return count is None or row.count_unit != count.unit
    total = spots.number * spots.each if spots and count.unit != "locations" else count.min
    if row.count_max is None:
        return total >= row.count_min
    return row.count_min <= total <= row.count_max
