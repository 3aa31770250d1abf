"""What a skeleton left open must be filled in before it is published."""

from __future__ import annotations

import re
from collections.abc import Iterator

from ...model.finding import Finding
from ..ask import texts
from ..load import Database
from .base import Context, Faults, Rule

OPEN = re.compile(r"^<[\w,.:'-]+( [\w,.:'-]+)+>$")


def check(db: Database, context: Context) -> Iterator[Finding]:
    f = Faults(db, RULE.name)
    for kind, records in (("crop", db.crops), ("lab", db.labs), ("source", db.sources)):
        for key, record in records.items():
            for path, text in texts(record):
                if OPEN.match(text):
                    yield f.at(
                        kind,
                        key,
                        path,
                        f"{text!r} is still to be filled in",
                        "write the real thing, or delete the line",
                    )


RULE = Rule("placeholder", "Nothing that `earleaf new` left open is still open.", check)
