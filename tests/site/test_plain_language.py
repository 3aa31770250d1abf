"""The plain-language gate: every page within its target, no sentence that the lint faults, and a gate that can fail.

Outside authority: the Clear Communication Index of the US Centers for Disease Control and Prevention (no arithmetic for
the reader), the US Federal plain language guidelines of 2011 (no double negatives, three levels of headings). Targets
are our own choice: English cards grade 6, pages grade 8; Spanish cards INFLESZ 65, pages 55.
"""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest
from lxml import html

from earleaf import cli
from earleaf.database.languages import subtag
from earleaf.language.sentences import sentences
from earleaf.planning.localise import localise
from earleaf.rendering.pages import Pages
from earleaf.site.build import Prepared
from earleaf.site.editions import Edition, editions
from earleaf.site.handouts import handout_page
from earleaf.site.plain_language import TARGETS, Finder, Reader, Reading, deep_places, remarks, report
from earleaf.site.tree import without
from earleaf.views.handout import handout
from small_manual import write

HARD = (
    "Notwithstanding considerable environmental variability, agronomic practitioners customarily characterise "
    "representative vegetative individuals immediately preceding reproductive differentiation."
)


def edition_of(demo: Prepared, language: str) -> Edition:
    assert demo.manual is not None
    return next(e for e in editions(demo.manual, demo.db, demo.chapters) if subtag(e.tag) == language)


@pytest.fixture(scope="module")
def readings(demo: Prepared) -> dict[str, list[Reading]]:
    """Every page of the demo manual that is there, by language."""
    assert demo.manual is not None
    known = [tag for tag in demo.manual.languages if subtag(tag) in TARGETS]
    return {subtag(tag): Reader(edition_of(demo, subtag(tag))).readings() for tag in known}


@pytest.mark.parametrize("kind", TARGETS["en"])
def test_english_pages_are_within_their_target(readings: dict[str, list[Reading]], kind: str) -> None:
    of_kind = [r for r in readings["en"] if r.kind == kind]
    assert len(of_kind) > 5
    assert [(r.address, round(r.score, 1)) for r in of_kind if r.score > TARGETS["en"][kind]] == []


@pytest.mark.parametrize("kind", TARGETS["es"])
def test_spanish_pages_are_within_their_target(readings: dict[str, list[Reading]], kind: str) -> None:
    """Every page that is translated in full."""
    of_kind = [r for r in readings["es"] if r.kind == kind]
    assert len(of_kind) > 5
    assert [(r.address, round(r.score, 1)) for r in of_kind if r.score < TARGETS["es"][kind]] == []


def test_no_sentence_has_a_fault(readings: dict[str, list[Reading]]) -> None:
    for language, read in readings.items():
        assert [(language, r[0].rule, r[0].sentence) for r in remarks(read) if r[0].level == "fault"] == []


def test_headings_stop_at_the_third_level(demo: Prepared) -> None:
    assert deep_places(chapter for chapters in demo.chapters.values() for chapter in chapters) == []


def test_every_protocol_has_a_card_and_a_handout_for_every_lab(
    demo: Prepared, readings: dict[str, list[Reading]]
) -> None:
    """Nothing escapes the gate: English has a page of both kinds for each protocol and lab."""
    want = sum(len(crop.protocols) for crop in demo.db.crops.values()) * (len(demo.db.labs) + 1)
    for kind, number in (("cards", want), ("handouts", want), ("stage guides", len(demo.db.systems))):
        assert len([r for r in readings["en"] if r.kind == kind]) == number


@pytest.mark.parametrize("lab", ["", "pebblecross"])
def test_what_the_page_prints_is_what_is_scored(demo: Prepared, readings: dict[str, list[Reading]], lab: str) -> None:
    """The sentences of the page, read from its HTML, against the pieces that make the score."""
    edition = edition_of(demo, "en")
    crop = edition.db.crops["corn"]
    local = localise(edition.db, crop, crop.protocols[2], edition.db.labs.get(lab))
    view = handout(edition.db, edition.words, edition.manual, local)
    page = html.fromstring(handout_page(edition.db, edition.manual, Pages(edition.words), local, view).body)
    for mark in page.xpath("//sup"):
        mark.drop_tree()
    found = page.xpath(
        "//section[contains(@class,'el-step') or contains(@class,'el-caution')]//li"
        " | //section[h2/@id='stage' or h2/@id='result']//li | //p[contains(@class,'el-find')]"
    )
    printed = {" ".join(item.text_content().split()) for item in found}
    reading = next(r for r in readings["en"] if r.address == view.address)
    scored = {" ".join(piece.text.split()) for piece in reading.pieces}
    assert len(printed) > 20
    assert printed - scored == set()


@pytest.mark.parametrize("language", ["en", "es"])
def test_sentences_are_found_where_they_are_written(
    demo: Prepared, root: Path, readings: dict[str, list[Reading]], language: str
) -> None:
    """File and line hold the first words of the sentence, for nearly all; the rest is put together from pieces."""
    edition = edition_of(demo, language)
    finder = Finder(root / "demo_scenario/manual.yml", edition)
    right = every = 0
    for reading in readings[language][::40]:
        for piece in reading.pieces:
            for sentence in sentences(piece.text):
                file, line = finder.place(sentence, piece, reading)
                lines = (root / file).read_text("utf-8").splitlines()
                near = " ".join(lines[line - 1 : line + 12]).replace('" "', "")
                first = re.findall(r"\w+", sentence)[:2]
                every += 1
                right += all(word in near for word in first)
    assert every > 100
    assert right > 0.9 * every


def check(folder: Path, capsys: pytest.CaptureFixture[str], *more: str) -> tuple[int, str]:
    code = cli.main(["check", "--language", *more, "--manual", str(folder)])
    return code, capsys.readouterr().out


def edit(path: Path, old: str, new: str) -> None:
    text = path.read_text("utf-8")
    assert text.count(old) == 1
    path.write_text(text.replace(old, new), "utf-8")


def test_the_command_lists_pages_and_sums_up(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out = check(write(tmp_path).parent, capsys, "all")
    assert code == 0
    assert re.search(r"^cards: 6 read, 0 missed the target \(grade at most 6\)", out, re.M)
    assert re.search(r"^handouts: 6 read, 0 missed", out, re.M)
    assert re.search(r"^ +-?\d+\.\d  crops/corn/silk/$", out, re.M)
    assert "hardest sentences:" in out


def test_a_hard_chapter_fails_the_gate(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = write(tmp_path).parent
    edit(folder / "docs/index.md", "Take the leaf on the page and no other [@uni-a].", HARD)
    code, out = check(folder, capsys)
    assert code == 1
    assert re.search(r"MISSED  docs/index\.md", out)
    assert re.search(r"^ +\d+\.\d  docs/index\.md:3  Notwithstanding", out, re.M)


def test_a_fault_fails_the_gate_with_file_line_and_hint(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = write(tmp_path).parent
    lab = folder / "labs/stonewell.yml"
    edit(lab, "Rinse every leaf before it wilts.", "Do not rinse without asking.")
    line = lab.read_text("utf-8").splitlines().index("    - Do not rinse without asking.") + 1
    code, out = check(folder, capsys)
    assert code == 1
    assert f"labs/stonewell.yml:{line}  fault double-negative: 'Do not rinse without asking.'" in out
    assert "    hint: say it without the two negatives" in out


def test_faults_of_the_data_come_first(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A manual that cannot be built is not scored."""
    folder = write(tmp_path).parent
    edit(folder / "labs/stonewell.yml", "amount: 24", "amount: much")
    code, out = check(folder, capsys)
    assert code == 1 and "wrong-type" in out and "cards:" not in out


def test_the_report_says_what_it_left_out(demo: Prepared, root: Path) -> None:
    few = replace(demo, db=without(demo.db, list(demo.db.crops)[6:]))
    lines, _ = report(few, root / "demo_scenario/manual.yml")
    every, _ = report(few, root / "demo_scenario/manual.yml", every=True)
    more = [int(match[1]) for line in lines if (match := re.match(r"  \.\.\. and (\d+) more", line))]
    assert more and not any(line.startswith("  ... and") for line in every)
