"""Sentences and their translations, in gettext's own file format, by way of Babel."""

from __future__ import annotations

import io
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime

from babel.messages.catalog import Catalog
from babel.messages.pofile import PoFileError, read_po, write_po

from ..model.finding import Finding
from .files import VALUE_CONTROL, control, decode, first_of

MAX_BYTES = 2_000_000
PLACE = re.compile(r"\{+[^{}]*\}+|[{}]")
"""A place for a value, one that only the browser fills, `{{so}}`, or a lone brace, which would break the sentence."""
FIGURE = re.compile(r"\d+(?:[.,/]\d+)*")
LINE = re.compile(r'(?:(msgid|msgstr)\s+)?"((?:[^"\\]|\\.)*)"\s*')
FORM = 'each entry is msgid "English" and msgstr "translation", with a backslash before a quote inside'
LONG_AGO = datetime(2026, 1, 1, tzinfo=UTC)
"""Stamped into each file, so that a run without changes changes no byte."""


@dataclass(frozen=True)
class Entry:
    """One sentence. `doubtful` (gettext's `fuzzy`) is a translation of an older wording: not to be shown."""

    sentence: str
    translation: str
    file: str
    line: int
    doubtful: bool = False


def read_sentences(data: bytes, file: str) -> tuple[list[Entry], list[Finding]]:
    """The entries of one .po file that have a translation, and what is wrong with the file."""
    text, unreadable = decode(data, file, MAX_BYTES)
    if unreadable is not None:
        return [], [unreadable]
    if wrong := first_of(_wrong_lines(text, file)):
        return [], wrong
    try:
        catalogue = read_po(io.StringIO(text), abort_invalid=True)
    except (PoFileError, ValueError) as error:
        line = getattr(error, "lineno", None)
        return [], [Finding(file, (line or -1) + 1, "bad-catalogue", f"not a gettext file: {error}", FORM)]
    entries = [
        Entry(m.id, m.string, file, m.lineno or 0, m.fuzzy)
        for m in catalogue
        if m.id and isinstance(m.id, str) and isinstance(m.string, str) and m.string
    ]
    return entries, first_of(finding for entry in entries if not entry.doubtful for finding in faults(entry))


def _wrong_lines(text: str, file: str) -> Iterable[Finding]:
    """Lines that gettext's tools refuse and Babel reads as something else, and a sentence that is there twice."""
    seen: dict[str, int] = {}
    sentence, start = "", 0
    for number, line in enumerate(text.splitlines(), 1):
        if not line.strip() or line.startswith("#"):
            continue
        found = LINE.fullmatch(line)
        if found is None:
            yield Finding(file, number, "bad-catalogue", f"{line.strip()!r} is no line of a gettext file", FORM)
            continue
        key, words = found.groups()
        if key == "msgid":
            sentence, start = words, number
        elif key is None and start:
            sentence += words
        elif start:
            if sentence in seen:
                said = f"{sentence!r} is here twice, first in line {seen[sentence]}"
                yield Finding(file, start, "duplicate-id", said, "keep one of the two")
            seen.setdefault(sentence, start)
            start = 0


def faults(entry: Entry) -> Iterable[Finding]:
    """A translation must hold the places and the figures of its sentence: a wrong number is worse than none."""
    if (odd := VALUE_CONTROL.search(entry.translation)) is not None:
        yield Finding(entry.file, entry.line, *control(odd.group()))
    for what, pattern in (("places", PLACE), ("figures", FIGURE)):
        wanted, found = (sorted(pattern.findall(text)) for text in (entry.sentence, entry.translation))
        if wanted != found:
            said = f"{entry.translation!r} holds the {what} {', '.join(found) or 'none'}"
            hint = f"the sentence {entry.sentence!r} holds {', '.join(wanted) or 'none'}; use just these"
            yield Finding(entry.file, entry.line, "translation-differs", said, hint)


def write_sentences(
    sentences: Mapping[str, Iterable[str]], known: Mapping[str, Entry], language: str, about: str
) -> bytes:
    """A .po file of some sentences, each with the notes that help a translator, and with what is known already."""
    catalogue = Catalog(
        locale=language,
        header_comment=f"# {about}",
        project="Earleaf",
        version="1",
        msgid_bugs_address="none",
        last_translator="not stated",
        language_team="not stated",
        creation_date=LONG_AGO,
        revision_date=LONG_AGO,
        fuzzy=False,
    )
    for sentence in sorted(sentences):
        entry = known.get(sentence)
        flags = ("fuzzy",) if entry is not None and entry.doubtful else ()
        catalogue.add(
            sentence, entry.translation if entry else "", flags=flags, auto_comments=sorted(sentences[sentence])[:6]
        )
    out = io.BytesIO()
    write_po(out, catalogue, width=0, omit_header=False, sort_output=False)
    return out.getvalue()
