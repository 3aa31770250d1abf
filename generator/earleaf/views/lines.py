"""Lines with their sources, and the numbers under which a page lists them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from ..database.load import Database
from ..model.base import Cited
from ..model.source import COMMON_PRACTICE, FROM_MEMORY, NOT_PUBLICATIONS, Source
from .words import Words

SHOWN_REFS = 3


@dataclass(frozen=True)
class Ref:
    """A mark beside a line: a number for a publication, a letter for practice or memory."""

    label: str
    source: str


@dataclass(frozen=True)
class Line:
    """A sentence, all its sources, and the few marks shown beside it."""

    text: str
    sources: tuple[str, ...] = ()
    refs: tuple[Ref, ...] = ()

    @property
    def data_source(self) -> str:
        return " ".join(self.sources)


@dataclass(frozen=True)
class SourceEntry:
    """A source as a page lists it."""

    label: str
    id: str
    text: str
    how_read: str


@dataclass
class Refs:
    """Gives each source of a page its mark, in the order in which they come up."""

    db: Database
    words: Words
    order: list[str] = field(default_factory=list)

    def mark(self, source: str) -> Ref:
        if source == COMMON_PRACTICE:
            return Ref("p", source)
        if source == FROM_MEMORY:
            return Ref("m", source)
        if source not in self.order:
            self.order.append(source)
        return Ref(str(self.order.index(source) + 1), source)

    def line(self, text: str, sources: Iterable[str] = ()) -> Line:
        """A line, in this language already, whose first few sources are marked; one family is marked once."""
        ids = tuple(dict.fromkeys(sources))
        families: dict[str, str] = {}
        for source in ids:
            known = self.db.sources.get(source)
            families.setdefault(known.family if known else source, source)
        firsts = list(families.values())
        shown = [s for s in firsts if s not in NOT_PUBLICATIONS][:SHOWN_REFS]
        shown += [s for s in firsts if s in NOT_PUBLICATIONS]
        marks = [self.mark(source) for source in shown]
        return Line(text, ids, tuple(sorted(marks, key=lambda m: (m.label.isalpha(), m.label.zfill(3)))))

    def cited(self, said: Cited, extra: Iterable[str] = ()) -> Line:
        return self.line(self.words.say(said.say), said.source or extra)

    def rule(self, sentences: Iterable[Cited], sources: Iterable[str]) -> tuple[Line, ...]:
        """The lines of a rule; its basis is marked once, at the last line that has no source of its own."""
        said = list(sentences)
        basis = tuple(sources)
        bare = [i for i, s in enumerate(said) if not s.source]
        return tuple(
            self.line(self.words.say(s.say), s.source or (basis if i == (bare or [-1])[-1] else ()))
            for i, s in enumerate(said)
        )

    def entries(self) -> tuple[SourceEntry, ...]:
        return tuple(
            SourceEntry(str(i), s, citation(self.db.sources[s]), how_read(self.words, self.db.sources[s]))
            for i, s in enumerate(self.order, 1)
            if s in self.db.sources
        )


def citation(source: Source) -> str:
    """Authors, year, title, publisher, number."""
    year = f" ({source.year})" if source.year else ""
    number = f", {source.number}" if source.number else ""
    publisher = "" if source.publisher == source.authors else f" {source.publisher}"
    return f"{source.authors.rstrip('.')}{year}. {source.title.rstrip('.')}.{publisher}{number}".rstrip(".") + "."


HOW_READ = {
    "original": "read in the original",
    "copy": "read in a copy",
    "abstract": "abstract read",
    "part": "read in part",
    "reported": "read as reported by others",
    "not-a-publication": "no publication",
}


def how_read(words: Words, source: Source) -> str:
    return words.say(HOW_READ[source.read])
