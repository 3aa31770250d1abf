"""What is to be translated: each sentence in its file, nothing lost, nothing changed without a reason.

Babel's own reader of .po files is the second opinion on what was written.
"""

from __future__ import annotations

from datetime import date
from io import BytesIO
from pathlib import Path

import pytest
from babel.messages.catalog import Catalog, Message
from babel.messages.pofile import read_po

from earleaf import cli
from earleaf.database.po_files import Entry, write_sentences
from earleaf.site.build import Prepared, grow, prepare
from earleaf.site.catalogue import Coverage, program_sentences, update, wanted
from pseudo_language import pseudo
from small_manual import write

KNEE = "Plants are below your knee."
OURS, THEIRS = "protocols/languages/qps", "languages/qps"
SHELL = """\
site_name: Small manual
theme:
  name: material
  palette:
  - {scheme: default, toggle: {icon: material/weather-night, name: Go dark}}
copyright: Made in Fernhollow.
plugins: [{earleaf: {manual: manual.yml}}]
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The small manual with a second language of which only the name is known."""
    with write(tmp_path).open("a", encoding="utf-8") as manual:
        manual.write("languages: [en, qps]\n")
    (tmp_path / OURS).mkdir(parents=True)
    (tmp_path / OURS / "language.yml").write_text("language: qps\nname: Qpish\n", "utf-8")
    (tmp_path / "docs/qps").mkdir()
    (tmp_path / "docs/qps/index.md").write_text("# Stárt\n\nTáké ít.\n", "utf-8")
    return tmp_path


def read(folder: Path, today: date) -> Prepared:
    prepared = prepare(folder / "manual.yml", today)
    assert not prepared.errors, prepared.errors
    return prepared


def run(folder: Path, today: date) -> list[Coverage]:
    return update(read(folder, today), "qps", folder / "manual.yml")


def entries(folder: Path) -> dict[str, dict[str, Message]]:
    """Every sentence of every file, as Babel reads it."""
    out = {}
    for path in sorted(folder.rglob("*.po")):
        catalogue: Catalog = read_po(BytesIO(path.read_bytes()))
        out[path.relative_to(folder).as_posix()] = {str(m.id): m for m in catalogue if m.id}
    return out


def every(folder: Path) -> dict[str, Message]:
    return {sentence: m for file in entries(folder).values() for sentence, m in file.items()}


def translate(folder: Path, today: date) -> None:
    """Translate everything that is asked for."""
    run(folder, today)
    for file, sentences in entries(folder).items():
        known = {s: Entry(s, pseudo(s), "", 0) for s in sentences}
        users = {s: [str(c) for c in m.auto_comments] for s, m in sentences.items()}
        about = (folder / file).read_text("utf-8").splitlines()[0].removeprefix("# ")
        (folder / file).write_bytes(write_sentences(users, known, "qps", about))


def change(folder: Path, file: str, old: str, new: str) -> None:
    text = (folder / file).read_text("utf-8")
    assert text.count(old) == 1
    (folder / file).write_text(text.replace(old, new), "utf-8")


def content(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*.po")}


FILED = {
    "Skip to the page": f"{OURS}/program.po",
    "What ruins the sample, and what to do": f"{OURS}/program.po",
    "at each of {n} spots": f"{OURS}/row-crops.po",
    "Ask what was sprayed and when.": f"{OURS}/row-crops.po",
    "Taking leaves": "",
    KNEE: f"{OURS}/row-crops.po",
    "Zea mays": "",
    "One part to a bag.": f"{OURS}/row-crops.po",
    "Row crops": f"{OURS}/shared.po",
    "Small manual": f"{THEIRS}/manual.po",
    "Fast, and strict about names.": f"{THEIRS}/manual.po",
    "Take the leaf on the other side of the stalk.": f"{THEIRS}/manual.po",
    "Stonewell Leaf Lab": "",
}
"""Sentence, and the file it belongs to; "" for none."""


def test_each_sentence_is_in_one_file(folder: Path, today: date) -> None:
    """By program, by what crops share, by group, and what is the manual's own beside the manual; names are in none."""
    run(folder, today)
    files = entries(folder)
    found = {sentence: [name for name, some in files.items() if sentence in some] for sentence in FILED}
    assert found == {sentence: [file] if file else [] for sentence, file in FILED.items()}


def test_a_translator_sees_who_uses_a_sentence(folder: Path, today: date) -> None:
    run(folder, today)
    assert every(folder)[KNEE].auto_comments == ["corn"]
    assert set(every(folder)["One part to a bag."].auto_comments) == {"bean", "corn"}


def test_what_is_asked_for_is_enough(folder: Path, today: date) -> None:
    """With all of it translated the edition is whole."""
    translate(folder, today)
    _, (_, tree) = grow(read(folder, today))
    assert not tree.missing and not tree.left_out
    assert pseudo(KNEE) in tree.pages["crops/corn/young/"].body


def test_translations_are_kept_and_a_second_run_changes_no_byte(folder: Path, today: date) -> None:
    translate(folder, today)
    before = content(folder)
    covered = run(folder, today)
    assert content(folder) == before
    run(folder, today)
    assert content(folder) == before
    assert all(m.string == pseudo(s) for s, m in every(folder).items())
    assert all(one.translated == one.sentences and one.doubtful == 0 for one in covered)


def test_a_sentence_that_is_gone_leaves(folder: Path, today: date) -> None:
    translate(folder, today)
    change(folder, "protocols/crops/corn.yml", KNEE, "Two collars show.")
    run(folder, today)
    assert KNEE not in every(folder)
    assert every(folder)["Two collars show."].string == ""


def test_a_reworded_sentence_keeps_its_translation_as_doubtful(folder: Path, today: date) -> None:
    translate(folder, today)
    new = "The plants are below your knee."
    change(folder, "protocols/crops/corn.yml", KNEE, new)
    covered = run(folder, today)
    message = every(folder)[new]
    assert (message.string, message.fuzzy) == (pseudo(KNEE), True)
    assert KNEE not in every(folder)
    assert [(one.file, one.doubtful) for one in covered if one.doubtful] == [("row-crops.po", 1)]
    _, (_, tree) = grow(read(folder, today))
    assert tree.left_out == {"corn": {new}}
    before = content(folder)
    run(folder, today)
    assert content(folder) == before


def test_another_figure_makes_a_translation_doubtful_not_wrong(folder: Path, today: date) -> None:
    """The old figure stands in the old translation; it must never reach a page."""
    change(folder, "protocols/crops/corn.yml", KNEE, "{say: Plants are under 12 in tall., source: uni-a}")
    translate(folder, today)
    change(folder, "protocols/crops/corn.yml", "under 12 in tall", "under 14 in tall")
    run(folder, today)
    message = every(folder)["Plants are under 14 in tall."]
    assert message.fuzzy and "12" in str(message.string)
    _, (_, tree) = grow(read(folder, today))
    assert "corn" in tree.left_out


def test_coverage_counts_what_the_files_hold(folder: Path, today: date) -> None:
    translate(folder, today)
    program = folder / OURS / "program.po"
    text = program.read_text("utf-8")
    first, second = (f'msgstr "{pseudo(s)}"' for s in ("Skip to the page", "Labs"))
    assert text.count(first) == 1 and text.count(second) == 1
    text = text.replace(first, 'msgstr ""').replace(f'msgid "Labs"\n{second}', f'#, fuzzy\nmsgid "Labs"\n{second}')
    program.write_text(text, "utf-8")
    covered = {one.file: one for one in run(folder, today)}
    for name, sentences in entries(folder).items():
        one = covered[Path(name).name]
        assert one.sentences == len(sentences)
        assert one.translated == sum(1 for m in sentences.values() if m.string and not m.fuzzy)
        assert one.doubtful == sum(1 for m in sentences.values() if m.fuzzy)
    assert (covered["program.po"].sentences - covered["program.po"].translated, covered["program.po"].doubtful) == (
        2,
        1,
    )


def test_crops_that_a_manual_does_not_show_keep_their_translations(folder: Path, today: date) -> None:
    """The files belong to the database: a manual of one crop must not empty them."""
    translate(folder, today)
    before = entries(folder)[f"{OURS}/row-crops.po"].keys()
    change(folder, "manual.yml", "crops: [corn, bean]", "crops: [bean]")
    run(folder, today)
    assert entries(folder)[f"{OURS}/row-crops.po"].keys() == before


def test_a_manual_without_labs_takes_none_of_the_database(folder: Path, today: date) -> None:
    translate(folder, today)
    change(folder, "manual.yml", "labs: [stonewell]", "labs: []")
    run(folder, today)
    left = entries(folder)
    assert KNEE in left[f"{OURS}/row-crops.po"] and "Fast, and strict about names." not in every(folder)


def test_rules_of_chapters_that_are_still_to_be_written_are_asked_for(folder: Path, today: date) -> None:
    (folder / "docs/qps/index.md").unlink()
    run(folder, today)
    assert "Paper, never plastic." in every(folder)


def test_nothing_is_printed_to_draw_up_a_catalogue(folder: Path, today: date, monkeypatch: pytest.MonkeyPatch) -> None:
    def never(*_: object) -> bytes:
        raise AssertionError("paper was set")

    monkeypatch.setattr("earleaf.site.cards.typeset", never)
    assert "Ruined by:" in wanted(read(folder, today), "qps")["program"]


def test_sentences_of_the_program_are_found_in_its_source() -> None:
    some = {
        "Skip to the page",  # a template
        "at least {n}",  # a method of Words
        "Ask your lab how many",  # a view
        "Bag {n}:",  # the second arm of a choice
        "{n} working days",  # a choice inside the call
        "its longitude",  # a table of a view, used by regions that lack it
        "A leaf near the base is dark.",  # a drawing that no protocol of the demo has
    }
    assert some <= set(program_sentences())


# The command


@pytest.fixture(autouse=True)
def _stopped_clock(monkeypatch: pytest.MonkeyPatch, today: date) -> None:
    class Stopped(date):
        @classmethod
        def today(cls) -> Stopped:
            return cls(today.year, today.month, today.day)

    monkeypatch.setattr(cli, "date", Stopped)


def command(folder: Path, language: str) -> int:
    return cli.main(["catalogue", language, "--manual", str(folder)])


def test_the_command_tells_what_is_left(folder: Path, capsys: pytest.CaptureFixture[str], today: date) -> None:
    assert command(folder, "qps") == 0
    out = capsys.readouterr().out
    missing = sum(1 for m in every(folder).values() if not m.string)
    assert out.rstrip().endswith(f"{missing} sentences to translate")
    assert "manual.po: 0 of " in out
    translate(folder, today)
    assert command(folder, "qps") == 0
    assert capsys.readouterr().out.rstrip().endswith("\n0 sentences to translate")


def test_the_command_asks_for_the_texts_of_mkdocs_yml(folder: Path) -> None:
    (folder / "mkdocs.yml").write_text(SHELL, "utf-8")
    assert command(folder, "qps") == 0
    assert {"Go dark", "Made in Fernhollow."} <= entries(folder)[f"{THEIRS}/manual.po"].keys()


@pytest.mark.parametrize("language", ["en", "fr"])
def test_a_language_that_is_not_a_second_one_is_2(
    folder: Path, capsys: pytest.CaptureFixture[str], language: str
) -> None:
    assert command(folder, language) == 2
    told = capsys.readouterr().err
    assert f"{language} is no second language" in told and "en, qps" in told and "manual.yml" in told
    assert not list(folder.rglob("*.po"))


def test_faults_of_the_data_are_1_and_nothing_is_written(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    change(folder, "protocols/crops/corn.yml", "min: 15", "min: many")
    assert command(folder, "qps") == 1
    assert "corn.yml" in capsys.readouterr().out
    assert not list(folder.rglob("*.po"))


def test_a_manual_that_is_not_there_is_2(tmp_path: Path) -> None:
    assert command(tmp_path / "nowhere", "qps") == 2
