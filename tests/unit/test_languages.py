"""The languages of a manual: what is chosen, what is refused and where. A made-up language, Qpish, stands in."""

from __future__ import annotations

from pathlib import Path

import pytest
from babel.numbers import format_decimal

from earleaf.database.manual import ManualDatabase, load_manual
from earleaf.model.finding import Finding
from earleaf.model.language import Language
from earleaf.site.editions import words_of
from earleaf.views.words import Words, alphabetical, first_letter
from small_manual import write

HEAD = 'msgid ""\nmsgstr "Content-Type: text/plain; charset=utf-8\\n"\n\n'
TERMS = """\
variants:
- id: ear
  en: ear of corn
  words:
    mazorca: {one: mazorca, the: la mazorca, of: de la mazorca}
    elote: {one: elote, the: el elote, of: del elote}
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The small manual in English and Qpish."""
    write(tmp_path)
    with (tmp_path / "manual.yml").open("a", encoding="utf-8") as manual:
        manual.write("languages: [en, qps]\n")
    put(tmp_path, "language.yml", "language: qps\nname: Qpish\n")
    put(tmp_path, "terms.yml", TERMS)
    po(tmp_path, ("Wait.", "Wátt."))
    return tmp_path


def put(folder: Path, name: str, text: str, below: str = "languages") -> None:
    path = folder / below / "qps" / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, "utf-8")


def po(folder: Path, *pairs: tuple[str, str], name: str = "a.po", below: str = "languages") -> None:
    put(folder, name, HEAD + "\n".join(f'msgid "{a}"\nmsgstr "{b}"\n' for a, b in pairs), below)


def change(folder: Path, old: str, new: str) -> None:
    path = folder / "manual.yml"
    text = path.read_text("utf-8")
    assert text.count(old) == 1
    path.write_text(text.replace(old, new), "utf-8")


def load(folder: Path) -> tuple[ManualDatabase, list[Finding]]:
    _, db = load_manual(folder / "manual.yml")
    return db, [f for f in db.findings if f.level == "error"]


def said(folder: Path, sentence: str, **values: object) -> str:
    """A sentence in Qpish, in a manual without faults."""
    manual, db = load_manual(folder / "manual.yml")
    assert manual is not None and not db.findings, db.findings
    return words_of(manual, db, next(tag for tag in manual.languages if tag != "en")).say(sentence, **values)


def only(found: list[Finding], rule: str, file: str, line: int) -> Finding:
    assert [(f.rule, f.file, f.line) for f in found] == [(rule, file, line)], found
    return found[0]


def line_of(folder: Path, start: str) -> int:
    lines = (folder / "manual.yml").read_text("utf-8").splitlines()
    return next(n for n, text in enumerate(lines, 1) if text.startswith(start))


def test_a_sentence_is_said_in_the_language(folder: Path) -> None:
    assert said(folder, "Wait.") == "Wátt."


def test_an_unknown_language_is_told_with_the_nearest(folder: Path) -> None:
    change(folder, "[en, qps]", "[en, qpz]")
    fault = only(load(folder)[1], "unknown-name", "manual.yml", line_of(folder, "languages:"))
    assert "'qpz'" in fault.message and "did you mean 'qps'?" in fault.hint


def test_a_missing_folder_is_an_unknown_language(folder: Path) -> None:
    change(folder, "languages: [en, qps]\n", "languages: [en, qps]\nlanguages_folder: other\n")
    assert [(f.rule, f.line) for f in load(folder)[1]] == [("unknown-name", line_of(folder, "languages:"))]


def test_two_tags_of_one_language_are_told(folder: Path) -> None:
    change(folder, "[en, qps]", "[en, qps, qps-MX]")
    db, found = load(folder)
    fault = only(found, "duplicate-id", "manual.yml", line_of(folder, "languages:"))
    assert "qps-MX" in fault.message and "beside qps" in fault.message
    assert list(db.languages) == ["en", "qps"]


def test_a_tag_that_is_none_is_told(folder: Path) -> None:
    change(folder, "[en, qps]", "[en, Qpish]")
    fault = only(load(folder)[1], "bad-form", "manual.yml", line_of(folder, "languages:"))
    assert "'Qpish'" in fault.message


def test_a_country_shares_the_sentences_of_its_language(folder: Path) -> None:
    change(folder, "[en, qps]", "[en, qps-US]")
    assert said(folder, "Wait.") == "Wátt."


def test_a_doubtful_translation_is_not_shown(folder: Path) -> None:
    put(folder, "a.po", f'{HEAD}#, fuzzy\nmsgid "Wait."\nmsgstr "Wótt."\n')
    db, found = load(folder)
    assert found == []
    assert "Wait." not in db.languages["qps"].sentences
    assert db.languages["qps"].entries["Wait."].translation == "Wótt."


def test_a_sound_translation_wins_over_a_doubtful_one(folder: Path) -> None:
    put(folder, "b.po", f'{HEAD}#, fuzzy\nmsgid "Wait."\nmsgstr "Wótt."\n')
    assert said(folder, "Wait.") == "Wátt."


def test_one_sentence_translated_twice_is_told(folder: Path) -> None:
    po(folder, ("Cut.", "Cátt."), ("Wait.", "Wótt."), name="b.po")
    fault = only(load(folder)[1], "duplicate-id", "languages/qps/b.po", 7)
    assert "languages/qps/a.po, line 4" in fault.message and "'Wátt.'" in fault.message


def test_the_manual_has_the_last_word(folder: Path) -> None:
    """What stands beside the manual goes before what comes with the database, without a fault."""
    put(folder, "language.yml", "language: qps\nname: Database\n", "protocols/languages")
    po(folder, ("Wait.", "Wótt."), ("Cut.", "Cátt."), below="protocols/languages")
    db, found = load(folder)
    assert found == []
    assert db.languages["qps"].sentences == {"Wait.": "Wátt.", "Cut.": "Cátt."}
    assert db.languages["qps"].language.name == "Qpish"


@pytest.mark.parametrize(
    ("content", "rule", "line"),
    [
        (f'{HEAD}msgid "Take 20."\nmsgstr "Tátt 25."\n'.encode(), "translation-differs", 4),
        (f'{HEAD}msgid "Wait."\nmsgstr "Wátt."\n'.encode("latin-1"), "not-utf-8", 5),
    ],
)
def test_faults_of_a_file_are_faults_of_the_manual(folder: Path, content: bytes, rule: str, line: int) -> None:
    (folder / "languages/qps/a.po").write_bytes(content)
    only(load(folder)[1], rule, "languages/qps/a.po", line)


def test_a_fault_of_language_yml_is_told(folder: Path) -> None:
    put(folder, "language.yml", "language: qps\nname: Qpish\ndirektion: rtl\n")
    db, found = load(folder)
    fault = only(found, "unknown-key", "languages/qps/language.yml", 3)
    assert "did you mean 'direction'?" in fault.hint
    assert "qps" not in db.languages


@pytest.mark.parametrize(
    ("mark", "word"),
    [("[ear]", "mazorca"), ("[ear:the]", "la mazorca"), ("[Ear:the]", "La mazorca"), ("[Ear]", "Mazorca")],
)
def test_the_first_regional_word_is_used_where_nobody_says(folder: Path, mark: str, word: str) -> None:
    po(folder, ("The ear.", f"{mark}."))
    assert said(folder, "The ear.") == f"{word}."


@pytest.mark.parametrize(("mark", "word"), [("[ear:of]", "del elote"), ("[Ear:the]", "El elote")])
def test_the_manual_chooses_the_regional_word(folder: Path, mark: str, word: str) -> None:
    po(folder, ("The ear.", f"{mark}."))
    change(folder, "languages: [en, qps]\n", "languages: [en, qps]\nregional_words:\n  qps: {ear: elote}\n")
    assert said(folder, "The ear.") == f"{word}."


@pytest.mark.parametrize(
    ("mark", "said_of", "hint"),
    [
        ("[eer]", "[eer]", "did you mean 'ear'?"),
        ("[ear:thee]", "[ear:thee]", "forms of ear: one, the, of"),
        ("[EAR:in]", "[EAR:in]", "forms of ear"),
    ],
)
def test_an_unknown_term_or_form_is_told(folder: Path, mark: str, said_of: str, hint: str) -> None:
    po(folder, ("Wait.", "Wátt."), ("The ear.", f"Á {mark}."))
    fault = only(load(folder)[1], "unknown-name", "languages/qps/a.po", 7)
    assert said_of in fault.message and hint in fault.hint


@pytest.mark.parametrize(
    ("choice", "message", "hint"),
    [
        ("qps: {ear: choclo}", "no regional word 'choclo'", "choose one of: mazorca, elote"),
        ("qps: {eer: elote}", "'eer' has no regional words", "did you mean 'ear'?"),
    ],
)
def test_an_unknown_regional_word_is_told(folder: Path, choice: str, message: str, hint: str) -> None:
    change(folder, "languages: [en, qps]\n", f"languages: [en, qps]\nregional_words:\n  {choice}\n")
    found = load(folder)[1]
    assert [f.rule for f in found] == ["unknown-name"]
    assert found[0].file == "manual.yml" and found[0].line > 0
    assert message in found[0].message and hint in found[0].hint


def test_regional_words_of_a_language_that_is_not_there_are_told(folder: Path) -> None:
    change(folder, "languages: [en, qps]\n", "languages: [en, qps]\nregional_words:\n  qpx: {ear: elote}\n")
    fault = only(load(folder)[1], "unknown-name", "manual.yml", line_of(folder, "  qpx:"))
    assert "did you mean 'qps'?" in fault.hint


@pytest.mark.parametrize("tag", ["es-ES", "es-US", "es-MX", "es-AR", "de-DE", "fr-FR", "en-US", "pt-BR"])
def test_figures_are_written_as_the_country_writes_them(tag: str) -> None:
    """CLDR, by way of Babel's own formatting of numbers."""
    words = Words(tag, about=Language(language=tag[:2], name="a language"))
    assert words.number(1.5) == format_decimal(1.5, locale=tag.replace("-", "_"))
    assert words.say("1.5 to 2.5. {n}", n=3) == f"{words.number(1.5)} to {words.number(2.5)}. 3"


def test_spain_writes_a_comma_and_mexico_a_point() -> None:
    """The same said without the library: CLDR's `decimal` is a comma in es and a point in es-419 (Latin America)."""
    spanish = Language(language="es", name="Español")
    assert Words("es-ES", about=spanish).number(0.5) == "0,5"
    assert Words("es-MX", about=spanish).number(0.5) == "0.5"


def test_an_unknown_country_keeps_the_point() -> None:
    assert Words("qps", about=Language(language="qps", name="Qpish")).number(0.5) == "0.5"


def test_words_that_melt_together_do_so_where_a_value_is_put_in(folder: Path) -> None:
    put(folder, "language.yml", "language: qps\nname: Qpish\njoined: {' de el ': ' del '}\n")
    po(
        folder,
        ("Tip of {part} here", "Punta de {part} aquí"),
        ("Never de el one", "Nunca de el uno"),
        ("From {day} on", "Desde el {day}"),
    )
    assert said(folder, "Tip of {part} here", part="el tallo") == "Punta del tallo aquí"
    assert said(folder, "Tip of {part} here", part="la hoja") == "Punta de la hoja aquí"
    assert said(folder, "Never de el one") == "Nunca de el uno"
    assert said(folder, "From {day} on", day="5 de mayo") == "Desde el 5 de mayo"


@pytest.mark.parametrize(("sentence", "lacks"), [("Cut.", True), ("{n} {unit}", False), ("{a}, {b} (3)", False)])
def test_a_sentence_that_lacks_is_remembered(folder: Path, sentence: str, lacks: bool) -> None:
    manual, db = load_manual(folder / "manual.yml")
    assert manual is not None
    words = words_of(manual, db, "qps")
    words.say(sentence, n=1, unit="x", a="a", b="b")
    assert words.missing == ({sentence} if lacks else set())


def test_english_lacks_nothing(folder: Path) -> None:
    manual, db = load_manual(folder / "manual.yml")
    assert manual is not None
    words = words_of(manual, db, "en")
    assert words.say("Never seen before.") == "Never seen before." and not words.missing


def test_lists_are_in_the_order_of_a_spanish_dictionary() -> None:
    """The order of the Real Academia's own alphabet: accents do not count, ñ comes after n."""
    ordered = ["Cebada", "Cítricos", "Coco", "Nabo", "Nuez", "Ñame", "Oca", "Ópalo", "Orégano"]
    assert sorted(reversed(ordered), key=alphabetical) == ordered
    assert [first_letter(word) for word in ("Árbol", "Éjote", "Ñame", "Nabo", "ajo")] == ["A", "E", "Ñ", "N", "A"]
