"""The folder `data/v1/`: once for the whole site, whatever its languages, with a schema for every kind of file."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from ..database.load import Database
from ..database.manual import ManualDatabase
from ..rendering import data_lists as lists
from ..rendering.data import index_data, to_bytes
from ..rendering.data_tables import handling_csv, sampling_csv, timing_csv
from ..rendering.schema import schemas
from .editions import Edition

DATA = "data/v1/"


def data_files(editions: Sequence[Edition], db: Database, made: Sequence[str]) -> dict[str, bytes]:
    """Every file of the data but those of `made`, which came with the crops, by name.

    `db` is what the first edition shows. Its language is that of the sentences in the data of a protocol.
    """
    sampling, handling, timing = lists.evidence(db), lists.handling_rows(db), lists.timing_rows(db)
    content: dict[str, tuple[str, Any]] = {
        "labs": ("labs", lists.labs(db)),
        "stages": ("growth-stages", lists.stages(db)),
        "sources": ("source-list", lists.sources(db)),
        "parts": ("parts", lists.vocabulary(db.parts.values())),
        "units": ("units", lists.vocabulary(db.units.values())),
        "cautions": ("cautions", lists.vocabulary(db.cautions.values())),
        "faults": ("faults", lists.vocabulary(db.faults.values())),
        "handling": ("handling", lists.handling(db)),
        "evidence": ("evidence", sampling),
        "evidence-handling": ("evidence-handling", handling),
        "evidence-timing": ("evidence-timing", timing),
        "languages": ("languages", lists.languages([(e.tag, e.words.about, e.prefix) for e in editions])),
    }
    known = db.languages if isinstance(db, ManualDatabase) else {}
    for edition in editions:
        name = lists.language_file(edition.tag).removeprefix(DATA).removesuffix(".json")
        content[name] = ("language", lists.language_words(db, edition.words, known.get(edition.tag)))
    follows = {f"{DATA}{name}.json": _schema(kind) for name, (kind, _) in content.items()}
    follows |= {name: _schema("calendar" if name.startswith(f"{DATA}calendars/") else "protocol") for name in made}
    follows[f"{DATA}index.json"] = _schema("index")
    first, *others = (edition.words for edition in editions)
    files = {f"{DATA}{name}.json": to_bytes(value) for name, (_, value) in content.items()}
    files[f"{DATA}index.json"] = to_bytes(index_data(db, first, others, follows))
    files[f"{DATA}csv/sampling.csv"] = sampling_csv(db, (row["row"] for row in sampling))
    files[f"{DATA}csv/handling.csv"] = handling_csv(db, (row["row"] for row in handling))
    files[f"{DATA}csv/timing.csv"] = timing_csv(db, (row["row"] for row in timing))
    return files | {_schema(name): to_bytes(schema) for name, schema in schemas().items()}


def _schema(name: str) -> str:
    return f"{DATA}schema/{name}.json"
