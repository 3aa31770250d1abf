"""Published rows as CSV (RFC 4180, UTF-8), each with the whole citation of its source."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable

from ..database.load import Database
from ..model.base import Record
from ..model.evidence import HandlingRow, SamplingRow, TimingRow
from ..views.lines import citation

CITED = ("citation", "source_url", "source_read")


def sampling_csv(db: Database, rows: Iterable[str]) -> bytes:
    """The sampling rows of these names."""
    return _table(db, SamplingRow, [db.sampling[name] for name in rows])


def handling_csv(db: Database, rows: Iterable[str]) -> bytes:
    """The handling rows of these names."""
    return _table(db, HandlingRow, [db.handling_rows[name] for name in rows])


def timing_csv(db: Database, rows: Iterable[str]) -> bytes:
    """The timing rows of these names."""
    return _table(db, TimingRow, [db.timing[name] for name in rows])


def _table(db: Database, kind: type[Record], rows: Iterable[Record]) -> bytes:
    """A head line, then a line for each row. An empty cell means: not stated by this source."""
    out = io.StringIO(newline="")
    columns = tuple(kind.model_fields)
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow((*columns, *CITED))
    for row in rows:
        values = row.model_dump(mode="json")
        source = db.sources.get(values["source"])
        cited = (_inert(citation(source)), str(source.url or ""), source.read) if source else ("", "", "")
        writer.writerow((*(_cell(values[column]) for column in columns), *cited))
    return out.getvalue().encode("utf-8")


def _inert(text: str) -> str:
    """The text; with a space before it where a spreadsheet would take it for a formula."""
    return f" {text}" if text.startswith(("=", "+", "-", "@")) else text


def _cell(value: object) -> str:
    """A figure without needless decimals, as in the tables of the database; nothing for what is not stated."""
    return "" if value is None else f"{value:.15g}" if isinstance(value, float) else str(value)
