"""Files of translations: what is read, what is refused and where, and that another reader of the format agrees."""

from __future__ import annotations

import gettext
import io

import pytest
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po

from earleaf.database.po_files import Entry, faults, read_sentences, write_sentences

HEAD = 'msgid ""\nmsgstr "Content-Type: text/plain; charset=utf-8\\n"\n\n'


def po(*pairs: tuple[str, str]) -> bytes:
    """A .po file; the first sentence stands on line 4, each next one 3 lines further."""
    return (HEAD + "\n".join(f'msgid "{a}"\nmsgstr "{b}"\n' for a, b in pairs)).encode()


def test_sentences_are_read_with_their_lines() -> None:
    entries, found = read_sentences(po(("Take {n} leaves.", "Tome {n} hojas."), ("Wait.", "Espere.")), "es/a.po")
    assert found == []
    assert [(e.sentence, e.translation, e.file, e.line, e.doubtful) for e in entries] == [
        ("Take {n} leaves.", "Tome {n} hojas.", "es/a.po", 4, False),
        ("Wait.", "Espere.", "es/a.po", 7, False),
    ]


def test_a_sentence_without_translation_is_not_read() -> None:
    assert read_sentences(po(("Wait.", "")), "a.po") == ([], [])


@pytest.mark.parametrize(
    ("sentence", "translation", "says", "wants"),
    [
        ("Take {n} leaves.", "Tome hojas.", ("places none",), ("{n}",)),
        ("Take {n} leaves.", "Tome {m} hojas.", ("places {m}",), ("{n}",)),
        ("{first} to {last}", "{first} a {first}", ("{first}, {first}",), ("{first}, {last}",)),
        ("Take 20 leaves.", "Tome 25 hojas.", ("figures 25",), ("20",)),
        ("Take 20 leaves.", "Tome veinte hojas.", ("figures none",), ("20",)),
        ("Cut 1.5 in (4 cm) up.", "Corte a 1,5 pulg (4 cm).", ("1,5",), ("1.5",)),
        ("Take 4 of 20.", "Tome 20 de 20.", ("20, 20",), ("20, 4",)),
    ],
)
def test_other_places_or_figures_are_faults(
    sentence: str, translation: str, says: tuple[str, ...], wants: tuple[str, ...]
) -> None:
    """A wrong number in one language only would go unseen, so each is told with file and line."""
    _, found = read_sentences(po(("Wait.", "Espere."), (sentence, translation)), "es/a.po")
    assert [(f.file, f.line, f.rule, f.level) for f in found] == [("es/a.po", 7, "translation-differs", "error")]
    assert all(word in found[0].message for word in says)
    assert all(word in found[0].hint for word in wants)


def test_figures_may_change_places() -> None:
    assert not list(faults(Entry("Take 4 of 20 in {place}.", "En {place}: de 20, tome 4.", "a.po", 1)))


def test_a_doubtful_one_is_marked_and_not_checked() -> None:
    text = HEAD + '#, fuzzy\nmsgid "Take 20 leaves."\nmsgstr "Tome 25 hojas."\n'
    entries, found = read_sentences(text.encode(), "a.po")
    assert [e.doubtful for e in entries] == [True]
    assert found == []


@pytest.mark.parametrize(
    "line",
    [
        'msgid "Cut.',
        "msgid Cut.",
        'msgid "Say "no"."',
        'msgid_plural "leaves"',
        "Cut = Corte",
    ],
)
def test_a_broken_line_is_told(line: str) -> None:
    """What msgfmt of GNU gettext refuses, and what this program has no use for: plurals and contexts."""
    entries, found = read_sentences(po(("Wait.", "Espere.")) + f'\n{line}\nmsgstr "Corte."\n'.encode(), "es/a.po")
    assert entries == []
    assert [(f.file, f.line, f.rule) for f in found] == [("es/a.po", 7, "bad-catalogue")]
    assert line in found[0].message and "msgid" in found[0].hint


def test_one_sentence_twice_in_a_file_is_told() -> None:
    found = read_sentences(po(("Wait.", "Espere."), ("Cut.", "Corte."), ("Wait.", "Aguarde.")), "es/a.po")[1]
    assert [(f.file, f.line, f.rule) for f in found] == [("es/a.po", 10, "duplicate-id")]
    assert "line 4" in found[0].message


def test_long_entries_of_several_lines_and_marks_of_editors_are_read() -> None:
    text = "\ufeff" + HEAD + 'msgid ""\r\n"Take "\r\n"20."\r\nmsgstr ""\r\n"Tome "\r\n"20."\r\n'
    entries, found = read_sentences(text.encode(), "a.po")
    assert [(e.sentence, e.translation) for e in entries] == [("Take 20.", "Tome 20.")] and found == []


def test_what_is_no_utf_8_is_told() -> None:
    entries, found = read_sentences(po(("Wait.", "Mañana.")).decode().encode("latin-1"), "es/a.po")
    assert (entries, [f.rule for f in found]) == ([], ["not-utf-8"])


def test_an_empty_file_is_no_fault() -> None:
    assert read_sentences(b"", "a.po") == ([], [])


def written(known: dict[str, Entry]) -> bytes:
    sentences = {"Take {n} leaves.": {"corn", "bean"}, 'Say "no".': set(), "Two\nlines.": {"corn"}}
    return write_sentences(sentences, known, "es", "about it")


def test_what_is_written_is_read_again() -> None:
    known = {
        "Take {n} leaves.": Entry("Take {n} leaves.", "Tome {n} hojas.", "", 0),
        'Say "no".': Entry('Say "no".', "Diga «no».", "", 0, doubtful=True),
    }
    entries, found = read_sentences(written(known), "a.po")
    assert found == []
    assert {e.sentence: (e.translation, e.doubtful) for e in entries} == {
        "Take {n} leaves.": ("Tome {n} hojas.", False),
        'Say "no".': ("Diga «no».", True),
    }
    text = written(known).decode()
    assert "#. bean\n" in text and "# about it\n" in text


def test_the_library_of_gettext_reads_the_same() -> None:
    """Python's gettext module reads compiled catalogues; made from our file, it gives our translations back."""
    known = {"Take {n} leaves.": Entry("Take {n} leaves.", "Tome {n} hojas.", "", 0)}
    out = io.BytesIO()
    write_mo(out, read_po(io.BytesIO(written(known))))
    out.seek(0)
    catalogue = gettext.GNUTranslations(out)
    assert catalogue.gettext("Take {n} leaves.") == "Tome {n} hojas."
    assert catalogue.gettext('Say "no".') == 'Say "no".'


def test_writing_twice_gives_the_same_bytes() -> None:
    assert written({}) == written({})
