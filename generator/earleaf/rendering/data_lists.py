"""Data of version 1 that is not about one protocol: labs, stages, sources, vocabulary, rows, languages.

Ids, codes, figures and dates are the same in every language. Sentences are those of the database; the words of each
language are in files of their own.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from ..database.ask import ANY_CROP
from ..database.languages import Catalogue
from ..database.load import Database
from ..model.base import Record
from ..model.language import Language, TermFile
from ..planning.compare import compare_rows
from ..planning.localise import localise
from ..views.lines import citation
from ..views.words import Words
from .data import published_row


def dumped(record: Record) -> dict[str, Any]:
    """A record under the keys that its YAML or CSV file uses."""
    return record.model_dump(mode="json", by_alias=True)


def labs(db: Database) -> list[dict[str, Any]]:
    """What each lab wants, as its file says it; every fact with its own source and date."""
    out = []
    for lab in db.labs.values():
        entry = dumped(lab)
        entry["protocols"] = [p for p in entry["protocols"] if p["crop"] in db.crops]
        facts = [value for value in entry.values() if isinstance(value, dict) and "checked_on" in value]
        for fact in (*facts, *entry["closed"], *entry["handling"].values(), *entry["protocols"]):
            fact["source"] = fact["source"] or entry["source"]
            fact["checked_on"] = fact["checked_on"] or entry["checked_on"]
        out.append({**entry, "page": f"labs/{lab.lab}/"})
    return out


def stages(db: Database) -> list[dict[str, Any]]:
    """Each stage system in use, with every stage written out, early to late."""
    used = {s for c in db.crops.values() for s in (c.stage_system, *c.other_systems)}
    return [
        {
            **dumped(system),
            "stages": [dumped(stage) for stage in db.stages[system.system]],
            "crops": [c.crop for c in db.crops.values() if system.system in (c.stage_system, *c.other_systems)],
            "page": f"stages/{system.system}/",
        }
        for system in db.systems.values()
        if system.system in used
    ]


def sources(db: Database) -> list[dict[str, Any]]:
    """Every source once, with the whole citation."""
    return [{**dumped(s), "citation": citation(s)} for s in sorted(db.sources.values(), key=lambda s: s.id)]


def vocabulary(records: Iterable[Record]) -> list[dict[str, Any]]:
    """Parts, units, cautions or faults, in the order of their file."""
    return [dumped(record) for record in records]


def handling(db: Database) -> dict[str, Any]:
    """The rules by topic: what holds for every crop, and what a group of crops does otherwise."""
    used = {crop.group for crop in db.crops.values()}
    return {
        "every_crop": {topic: dumped(rule) for topic, rule in db.handling.items()},
        "groups": {
            group.group: {topic: dumped(rule) for topic, rule in group.handling.items()}
            for group in db.groups.values()
            if group.group in used
        },
    }


def evidence(db: Database) -> list[dict[str, Any]]:
    """Every published row about sampling that a page of this manual shows, each once."""
    rows: dict[str, dict[str, Any]] = {}
    for crop in db.crops.values():
        for protocol in crop.protocols:
            for compared in compare_rows(db, localise(db, crop, protocol)):
                rows.setdefault(compared.row.row, published_row(compared))
        for name in crop.also_rows:
            if name in db.sampling:
                rows.setdefault(name, {**db.sampling[name].model_dump(), "stages": db.sampling[name].stage_text})
    for name, row in db.sampling.items():
        if row.crop == ANY_CROP:
            rows.setdefault(name, {**row.model_dump(), "stages": row.stage_text})
    return [rows[name] for name in sorted(rows)]


def handling_rows(db: Database) -> list[dict[str, Any]]:
    """Every published row about handling."""
    return [dumped(db.handling_rows[name]) for name in sorted(db.handling_rows)]


def timing_rows(db: Database) -> list[dict[str, Any]]:
    """Every published row about the timing of this manual's crops."""
    return [dumped(db.timing[name]) for name in sorted(db.timing) if db.timing[name].crop in db.crops]


def language_file(tag: str) -> str:
    """Where the words of one language are."""
    return f"data/v1/languages/{tag}.json"


def languages(editions: Sequence[tuple[str, Language, str]]) -> list[dict[str, Any]]:
    """Each edition: (tag, language, folder) to its name, who has read it, its address and its words."""
    return [
        {
            "language": tag,
            "name": language.name,
            "direction": language.direction,
            "reviewed_by": language.reviewed_by,
            "page": folder,
            "words": language_file(tag),
        }
        for tag, language, folder in editions
    ]


def language_words(db: Database, words: Words, catalogue: Catalogue | None) -> dict[str, Any]:
    """What crops, parts, units and stages are called in one language, and its terms of the trade.

    What has no translation yet is left out, never given in English.
    """

    def named(pairs: Iterable[tuple[str, str]]) -> dict[str, str]:
        return {ident: words.say(text) for ident, text in pairs if not words.lacks(text)}

    terms = catalogue.terms if catalogue else TermFile()
    used = {s for c in db.crops.values() for s in (c.stage_system, *c.other_systems)}
    return {
        "language": words.language,
        "crops": named((c.crop, c.name) for c in db.crops.values()),
        "protocols": {c.crop: named((p.protocol, p.title) for p in c.protocols) for c in db.crops.values()},
        "parts": named((p.id, p.name) for p in db.parts.values()),
        "units": named((u.id, u.many) for u in db.units.values()),
        "stages": {
            system: named((stage.code, stage.name) for stage in of_system)
            for system, of_system in db.stages.items()
            if system in used
        },
        "terms": [dumped(term) for term in terms.terms],
        "variants": [dumped(variant) for variant in terms.variants],
    }
