"""The languages of a manual: their sentences and terms, read from `languages/<language>/` folders."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from ..model.finding import Finding
from ..model.language import SOURCE_LANGUAGE, Language, TermFile, Variants
from .files import is_folder
from .load import Loader
from .near import near
from .po_files import Entry, read_sentences

MARK = re.compile(r"\[([A-Za-z-]+)(?::([a-z-]+))?\]")
"""A variant term in a translation: `[ear]`, `[Ear:the-many]`."""


@dataclass(frozen=True)
class Catalogue:
    """One language as a manual uses it. `sentences` are final: regional words are put in."""

    language: Language
    sentences: Mapping[str, str]
    entries: Mapping[str, Entry]
    terms: TermFile


def read_language(
    loader: Loader, folders: Sequence[Path], code: str, choices: Mapping[str, str], told: tuple[Path, int]
) -> Catalogue | None:
    """The language `code` out of the folders that hold it. Faults go to the loader's findings.

    A later folder has the last word: what is shipped comes first, what stands beside the manual comes last.
    `choices` are the manual's regional words; `told` is where the manual asks for the language.
    """
    ours = [folder / code for folder in folders if is_folder(folder / code)]
    described = [folder / "language.yml" for folder in ours if (folder / "language.yml").exists()]
    if not described:
        there = filter(is_folder, folders)
        known = sorted({p.parent.name for folder in there for p in folder.glob("*/language.yml")})
        loader.fault(*told, "unknown-name", f"there is no language {code!r}", near(code, known))
        return None
    language, _ = loader.read(described[-1], Language)
    terms = TermFile()
    entries: dict[str, Entry] = {}
    for folder in ours:
        if (folder / "terms.yml").exists():
            read, _ = loader.read(folder / "terms.yml", TermFile)
            if read is not None:
                terms = TermFile(variants=(*terms.variants, *read.variants), terms=(*terms.terms, *read.terms))
        here: dict[str, Entry] = {}
        for path in sorted(folder.glob("*.po")):
            data = loader.bytes_of(path)
            found, findings = _sentences(data, loader.name(path)) if data is not None else ([], [])
            loader.db.findings += findings
            for entry in found:
                _keep(loader, here, entry)
        entries |= {s: entry for s, entry in here.items() if not entry.doubtful or s not in entries}
    if language is None:
        return None
    chosen = _chosen(loader, terms.variants, choices, told)
    sentences = {s: _filled(loader, e, chosen) for s, e in entries.items() if not e.doubtful}
    return Catalogue(language, sentences, entries, terms)


@lru_cache(maxsize=100)
def _sentences(data: bytes, name: str) -> tuple[list[Entry], list[Finding]]:
    """The sentences of one file. The same bytes are read once, however often asked."""
    return read_sentences(data, name)


def _keep(loader: Loader, entries: dict[str, Entry], entry: Entry) -> None:
    """A sentence has one translation in a folder; a doubtful one gives way."""
    old = entries.get(entry.sentence)
    if old is None or old.doubtful:
        entries[entry.sentence] = entry
    elif old.translation != entry.translation and not entry.doubtful:
        said = f"{entry.sentence!r} is also translated in {old.file}, line {old.line}, as {old.translation!r}"
        loader.db.findings.append(
            Finding(entry.file, entry.line, "duplicate-id", said, "keep one of the two, in one file")
        )


def _chosen(
    loader: Loader, variants: Sequence[Variants], choices: Mapping[str, str], told: tuple[Path, int]
) -> dict[str, Mapping[str, str]]:
    """The forms of each variant term, by its id."""
    known = {v.id: v for v in variants}
    for term, word in choices.items():
        if term not in known:
            loader.fault(*told, "unknown-name", f"{term!r} has no regional words", near(term, known))
        elif word not in known[term].words:
            hint = f"choose one of: {', '.join(known[term].words)}"
            loader.fault(*told, "unknown-name", f"{term!r} has no regional word {word!r}", hint)
    return {v.id: v.words.get(choices.get(v.id, ""), next(iter(v.words.values()))) for v in variants}


def _filled(loader: Loader, entry: Entry, chosen: Mapping[str, Mapping[str, str]]) -> str:
    """The translation with its marks replaced by the words chosen."""

    def word(match: re.Match[str]) -> str:
        name, form = match.group(1), match.group(2) or "one"
        forms = chosen.get(name.lower(), {})
        if form not in forms:
            said = f"{match.group(0)} in {entry.translation!r} names no form of a term"
            hint = f"forms of {name.lower()}: {', '.join(forms)}" if forms else near(name.lower(), chosen)
            loader.db.findings.append(Finding(entry.file, entry.line, "unknown-name", said, hint))
            return match.group(0)
        text = forms[form]
        return text[:1].upper() + text[1:] if name[0].isupper() else text

    return MARK.sub(word, entry.translation)


def subtag(tag: str) -> str:
    """The language of a tag: `es` of `es-MX`."""
    return tag.split("-")[0]


def is_source(tag: str) -> bool:
    """Whether the manual's own sentences are in this language."""
    return subtag(tag) == SOURCE_LANGUAGE
