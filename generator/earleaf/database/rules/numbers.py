"""A sentence that holds a figure names its source."""

from __future__ import annotations

from collections.abc import Iterator

from ...model.finding import Finding
from ..ask import has_number, said_sentences
from ..load import Database
from .base import Context, Faults, Rule


def check(db: Database, context: Context) -> Iterator[Finding]:
    f = Faults(db, RULE.name)
    codes = frozenset(s.code for stages in db.stages.values() for s in stages if not s.code.isdigit())
    hint = "write it as {say: ..., source: an-id}; common-practice and from-memory are honest answers"
    for kind, records in (("crop", db.crops), ("system", db.systems), ("group", db.groups)):
        for key, record in records.items():
            for path, said in said_sentences(record):
                if not said.source and has_number(said.say, codes):
                    yield f.at(kind, key, path, f"a figure without a source: {said.say[:60]!r}", hint)
    for topic, rule in db.handling.items():
        for path, said in said_sentences(rule):
            if not said.source and has_number(said.say, codes):
                yield f.at(
                    "handling",
                    "base",
                    ("handling", topic, *path),
                    f"a figure without a source: {said.say[:60]!r}",
                    hint,
                )
    for key, lab in db.labs.items():
        for path, said in said_sentences(lab):
            if not said.source and not lab.source and has_number(said.say, codes):
                yield f.at("lab", key, path, f"a figure without a source: {said.say[:60]!r}", hint)


RULE = Rule("figure-without-source", "A sentence that holds a figure names its source.", check)
