"""The terms of the trade in one language, with what nobody has reviewed yet: for the reader, and for who reviews."""

from __future__ import annotations

from dataclasses import dataclass

from ..database.load import Database
from ..database.manual import ManualDatabase
from ..model.manual import Manual
from ..rendering.pages import Pages
from .page import Page

ADDRESS = "terms/"


@dataclass(frozen=True)
class TermRow:
    """One term: as English says it, as this edition says it, what other regions say, and whether it was reviewed."""

    en: str
    word: str
    others: str
    known: str
    reviewed: bool


def terms_page(db: Database, manual: Manual, pages: Pages) -> Page | None:
    """The list of terms of an edition; None for the language in which the database is written."""
    words = pages.words
    known = db.languages.get(words.language) if isinstance(db, ManualDatabase) else None
    if known is None or not (known.terms.terms or known.terms.variants):
        return None
    chosen = manual.regional_words.get(words.language, {})
    rows = []
    for thing in known.terms.variants:
        forms = {name: next(iter(given.values())) for name, given in thing.words.items()}
        ours = chosen.get(thing.id, next(iter(forms)))
        others = ", ".join(text for name, text in forms.items() if name != ours)
        rows.append(TermRow(thing.en, forms[ours], others, words.say("varies by region"), thing.reviewed))
    how = {"printed": words.say("read in print"), "memory": words.say("from memory")}
    rows += [TermRow(t.en, t.word, t.note or "", how[t.known], t.reviewed) for t in known.terms.terms]
    title = words.say("Words of the trade")
    body = pages.body(
        "terms.html",
        ADDRESS,
        here=title,
        rows=sorted(rows, key=lambda row: row.en.casefold()),
        language=known.language.name,
        open=sum(not row.reviewed for row in rows),
        by=known.language.reviewed_by,
    )
    return Page(ADDRESS, title, body, title, title)
