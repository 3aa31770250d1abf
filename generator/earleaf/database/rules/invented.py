"""Invented things are marked invented, and stay in a demonstration; nothing in it looks like a real person's data."""

from __future__ import annotations

import re
from collections.abc import Iterator

from ...model.finding import Finding
from ..ask import texts
from ..load import Database
from .base import Context, Faults, Rule

_MAIL = re.compile(r"[\w.+-]+@(?!(?:[\w-]+\.)*(?:example|invalid|test)\b)[\w-]+(\.[\w-]+)+")
_PHONE = re.compile(r"(?<!\d)(\+?\d{1,2}[ .-])?\(?\d{3}\)?[ .-]\d{3}[ .-]\d{4}(?!\d)")
_POSITION = re.compile(r"-?\d{1,3}\.\d{4,}\s*,\s*-?\d{1,3}\.\d{4,}")
PRIVATE = (("an e-mail address", _MAIL), ("a telephone number", _PHONE), ("a position", _POSITION))


def check(db: Database, context: Context) -> Iterator[Finding]:
    f = Faults(db, RULE.name)
    for key, lab in db.labs.items():
        if context.demo and not lab.invented:
            yield f.at(
                "lab",
                key,
                ("lab",),
                f"lab {key!r} is in a demonstration and not marked invented",
                "add `invented: true`, and give it a name nobody could mistake for a real lab",
            )
        if lab.invented and not context.demo:
            yield f.at(
                "lab",
                key,
                ("invented",),
                f"lab {key!r} is invented but the manual is not a demonstration",
                "remove it from `labs:`, or set `invented: true` in manual.yml",
            )
        for path, text in texts(lab):
            for what, pattern in PRIVATE:
                if pattern.search(text):
                    yield f.at(
                        "lab",
                        key,
                        path,
                        f"this looks like {what}: {text[:50]!r}",
                        "contacts and positions do not belong in a public manual",
                    )
    for key, source in db.sources.items():
        if (source.kind == "invented") != source.invented:
            yield f.at("source", key, (), f"source {key!r}: kind invented and `invented: true` go together", "set both")
        if source.invented and not context.demo:
            yield f.at("source", key, (), f"source {key!r} is invented", "invented sources belong in a demonstration")


RULE = Rule("invented", "Invented data is marked, kept to demonstrations, and holds no private details.", check)
