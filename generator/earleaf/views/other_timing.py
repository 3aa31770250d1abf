"""What else is published of a crop's timing: what moves the dates, other ways to count, and figures that differ."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from ..database.load import Database
from ..database.timing import codes_of
from ..model.crop import Crop
from ..model.development import Development
from ..model.evidence import TimingRow
from .common import stage_code
from .lines import Line, Refs
from .words import Words

UNITS = {"gdd-f": "degree-days F", "gdd-c": "degree-days C", "days": "days", "date": "dates"}


def other_timing(db: Database, words: Words, refs: Refs, crop: Crop, model: Development) -> tuple[Line, ...]:
    """One line for each thing said, each with its sources; rows that differ come last, a line for each source."""
    lines: list[Line] = []
    if model.rating:
        lines += [refs.cited(said, row_sources(db, model.rating.rows)) for said in model.rating.say]
    for adjustment in model.adjustments:
        lines += [refs.cited(said, row_sources(db, adjustment.rows)) for said in adjustment.say]
    lines += [refs.cited(other.say, row_sources(db, other.rows)) for other in model.alternatives]
    alike: dict[tuple[str, ...], list[TimingRow]] = defaultdict(list)
    for row in (db.timing[name] for name in model.differs):
        alike[row.source, row.from_event or "", row.amount_unit, row.group or ""].append(row)
    return (*lines, *(_differing(db, words, refs, crop, rows) for rows in alike.values()))


def late_lines(db: Database, refs: Refs, model: Development) -> tuple[Line, ...]:
    """What a late planting changes, where the model has a rule for it."""
    late = model.late
    return tuple(refs.cited(said, row_sources(db, late.rows)) for said in late.say) if late else ()


def row_sources(db: Database, rows: Iterable[str]) -> tuple[str, ...]:
    """The sources of published rows of timing, each once."""
    return tuple(dict.fromkeys(db.timing[row].source for row in rows if row in db.timing))


def _differing(db: Database, words: Words, refs: Refs, crop: Crop, rows: list[TimingRow]) -> Line:
    """'In days from R6: R7 20 (North Dakota).'"""
    first = rows[0]
    figures = ", ".join(f"{_point(db, words, crop, row.to_stage)} {_figure(words, row)}" for row in rows)
    asides = [words.say(text) for text in dict.fromkeys((first.group, *(row.note for row in rows))) if text]
    text = words.say(
        "In {unit} from {start}: {figures}{aside}.",
        unit=words.say(UNITS[first.amount_unit]),
        start=_point(db, words, crop, first.from_event or ""),
        figures=figures,
        aside=f" ({'; '.join(asides)})" if asides else "",
    )
    return refs.line(text, (first.source,))


def _point(db: Database, words: Words, crop: Crop, text: str) -> str:
    """A stage by its code, or the source's own words for a point of the crop's life."""
    return stage_code(db, words, crop.stage_system, text) if text in codes_of(db, crop) else words.say(text)


def _figure(words: Words, row: TimingRow) -> str:
    if row.amount_unit == "date":
        return words.season(row.date_from or "", row.date_to or "")
    return words.number(row.amount) if row.amount is not None else words.span(row.low or 0, row.high)
