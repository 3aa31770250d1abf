"""`earleaf cards`: the same bytes anywhere, and what it says of words and names that it cannot print.

Outside authority: the Unicode names of characters and the exit codes of DEVELOPERS.md. A card that is silently cut, or
that shows boxes for letters, is worse than none.
"""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from site_tree import SiteTree

from earleaf import cli
from earleaf.site.build import Prepared
from earleaf.site.cards import pick_cards
from earleaf.site.editions import words_of
from earleaf.views.common import by_name
from earleaf.views.words import Words
from paper import POINT_MM, Paper, bare, joined
from small_manual import FILES, write

LAB, CORN, PARTS, HANDLING = (
    "labs/stonewell.yml",
    "protocols/crops/corn.yml",
    "protocols/vocabulary/plant-parts.yml",
    "protocols/handling.yml",
)
OLD = b"the card of last year"


class FixedDay(date):
    """A clock that stands still, so that no lab fact grows old while the tests wait."""

    @classmethod
    def today(cls) -> FixedDay:
        return cls(2026, 11, 25)


@pytest.fixture(autouse=True)
def _stopped_clock(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cli, "date", FixedDay)


def manual(folder: Path, file: str = "", old: str = "", new: str = "") -> Path:
    """The small manual with one place changed."""
    files = dict(FILES)
    if file:
        assert files[file].count(old) == 1
        files[file] = files[file].replace(old, new)
    return write(folder, files)


def ask(path: Path, out: Path, *words: str) -> int:
    return cli.main(["cards", "-m", str(path), "--out", str(out), *words])


@pytest.fixture
def out(tmp_path: Path) -> Path:
    """Where an older card lies already."""
    path = tmp_path / "cards.pdf"
    path.write_bytes(OLD)
    return path


# Sameness


def run(cwd: Path, root: Path, out: Path, cache: Path, **env: str) -> bytes:
    """The command in a process of its own."""
    words = ["cards", "--crop", "corn", "--lab", "larkmoor", "--paper", "letter"]
    done = subprocess.run(
        [sys.executable, "-m", "earleaf.cli", *words, "-m", str(root / "demo_scenario/manual.yml"), "--out", str(out)],
        cwd=cwd,
        env={**os.environ, "XDG_CACHE_HOME": str(cache), **env},
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return out.read_bytes()


def test_place_clock_language_hash_seed_and_cache_change_no_byte(root: Path, tmp_path: Path) -> None:
    (tmp_path / "elsewhere").mkdir()
    one = run(root, root, tmp_path / "1.pdf", tmp_path / "a", TZ="Pacific/Kiritimati", LC_ALL="C", PYTHONHASHSEED="1")
    other = {"TZ": "America/Anchorage", "LC_ALL": "C.UTF-8", "PYTHONHASHSEED": "4242"}
    two = run(tmp_path / "elsewhere", root, tmp_path / "2.pdf", tmp_path / "b", **other)
    warm = run(tmp_path / "elsewhere", root, tmp_path / "3.pdf", tmp_path / "a", **other)
    assert [p for p in (tmp_path / "a").rglob("*") if p.is_file()], "nothing was kept, so nothing was warm"
    assert one == two == warm
    assert len(Paper(one)) >= 1


def test_a_sheet_by_hand_holds_the_text_of_the_sheet_of_the_site(site: SiteTree, root: Path, tmp_path: Path) -> None:
    sheet = Paper(run(root, root, tmp_path / "1.pdf", tmp_path / "cache"))
    assert sheet.texts == Paper(site.files["cards/sheets/corn-larkmoor-letter.pdf"]).texts


# What is asked for


@pytest.mark.parametrize("tag", ["en", "es-US"])
def test_without_a_name_the_crops_come_in_the_order_of_the_decks(demo: Prepared, tag: str) -> None:
    assert demo.manual is not None
    words = words_of(demo.manual, demo.db, tag)
    picks, _ = pick_cards(demo.db, words, [], None)
    asked = list(dict.fromkeys(crop.crop for crop, _ in picks))
    assert asked == [crop.crop for crop in by_name(words, demo.db.crops.values())] != list(demo.db.crops)


def test_a_name_that_a_protocol_had_before_is_known(demo: Prepared) -> None:
    corn = demo.db.crops["corn"]
    old = corn.model_copy(update={"protocols": (corn.protocols[0].model_copy(update={"aliases": ("small",)}),)})
    db = replace(demo.db, crops={**demo.db.crops, "corn": old})
    assert pick_cards(db, Words(units=db.units), ["corn/small"], None)[0] == [(old, old.protocols[0])]


def test_cards_speak_the_language_that_is_asked_for(
    root: Path, tmp_path: Path, out: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The same card by hand as in the Spanish edition; a language that the manual lacks is wrong usage."""
    asked = ["cards", "--crop", "corn/tassel-to-silk", "-m", str(root / "demo_scenario/manual.yml")]
    mine = tmp_path / "es.pdf"
    assert cli.main([*asked, "--language", "es", "--out", str(mine)]) == 0
    text = Paper(mine.read_bytes()).texts[0]
    assert bare("¿Pasó la reentrada?") in bare(text) and bare("wrenfold.example/es/c/") in bare(text)
    assert cli.main([*asked, "--language", "fr", "--out", str(out)]) == 2
    assert "there is no language 'fr' in this manual" in capsys.readouterr().err
    assert out.read_bytes() == OLD


@pytest.mark.parametrize(
    ("words", "size", "pages"),
    [
        ([], (4, 5.25), 3),
        (["--crop", "corn"], (4, 5.25), 2),
        (["--crop", "corn/silk"], (4, 5.25), 1),
        (["--card", "4x6"], (4, 6), 3),
        (["--paper", "letter"], (8.5, 11), 1),
        (["--paper", "letter", "--card", "4x6"], (8.5, 11), 2),
        (["--bleed"], (4.25, 5.5), 3),
    ],
)
def test_what_is_asked_for_is_printed(
    words: list[str], size: tuple[float, float], pages: int, tmp_path: Path, out: Path
) -> None:
    """Three protocols in the small manual, sizes in inches; bleed adds 1/8 in on each side."""
    assert ask(manual(tmp_path), out, *words) == 0
    paper = Paper.read(out)
    assert len(paper) == pages
    assert all(page == pytest.approx((size[0] * 25.4, size[1] * 25.4), abs=0.05) for page in paper.pages_mm)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--crop", "cron"], ["no crop 'cron'", "corn"]),
        (["--crop", "corn/slik"], ["no protocol 'slik'", "young", "silk"]),
        (["--crop", "corn/"], []),
        (["--lab", "stonewel"], ["no lab 'stonewel'", "stonewell"]),
        (["--card", "a5"], ["'a5'", "4x5.25", "4x6", "3.5x5.5", "a6"]),
        (["--paper", "legal"], ["'legal'", "letter", "a4"]),
        (["--paper", "letter", "--card", "big"], ["'big'", "4x6"]),
    ],
)
def test_unknown_names_are_2_and_tell_the_known(
    words: list[str], told: list[str], tmp_path: Path, out: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code = ask(manual(tmp_path), out, *words)
    said = capsys.readouterr().err
    if not told:  # 'corn/' is corn, or a mistake; never something else
        assert code in (0, 2)
        return
    assert code == 2 and all(t in said for t in told), said
    assert "Traceback" not in said and out.read_bytes() == OLD


def test_a_file_that_cannot_be_written_is_3(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert ask(manual(tmp_path), tmp_path / "no/such/folder.pdf") == 3
    assert "not printed" in capsys.readouterr().err


# Words that cannot be printed

LONG = "Corn of the lower fields beside the river that is cut green for the animals of the valley in early autumn " * 2
LONG_WORD = "Cornofthelowerfieldsbesidetheriverthatiscutgreen"
REFUSED = {
    "a very long crop": (CORN, "name: Corn", f"name: {LONG}", "crop", ["mm too tall", "say it shorter"]),
    "an emoji": (CORN, "name: Corn", "name: Corn 🌽", "crop", ["EAR OF MAIZE", "U+1F33D"]),
    "Hebrew": (CORN, "title: tassel to silk", "title: תירס", "crop", ["HEBREW LETTER", "U+05EA"]),
    "a turn of direction": (CORN, "title: tassel to silk", 'title: "silk \\u202E klis"', "crop", ["U+202E"]),
    "Chinese": (PARTS, "name: the ear leaf,", "name: 穗位葉,", "part", ["U+7A57"]),
    "a long rule": (HANDLING, "say: [Use a paper bag.]", f"say: [{LONG * 2}]", "any", ["mm too tall"]),
    "an emoji in a lab": (LAB, "name: Stonewell Leaf Lab", "name: Stonewell 🍃", "lab", ["LEAF FLUTTERING", "U+1F343"]),
    "Arabic in a lab": (LAB, "name: Stonewell Leaf Lab", "name: مختبر", "lab", ["ARABIC LETTER", LAB]),
}


@pytest.mark.parametrize(("file", "old", "new", "where", "told"), REFUSED.values(), ids=list(REFUSED))
def test_what_cannot_be_printed_is_told_with_its_place(
    file: str,
    old: str,
    new: str,
    where: str,
    told: list[str],
    tmp_path: Path,
    out: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Exit code 1, file and line, no traceback, and the old file is as it was. The site is refused in the same way."""
    path = manual(tmp_path, file, old, new)
    assert ask(path, out, *(["--lab", "stonewell"] if where == "lab" else [])) == 1
    said = capsys.readouterr()
    place = LAB if where == "lab" else "protocols/crops/"
    rules = ("card-cannot-be-printed", "control-character")
    faults = [line for line in said.out.splitlines() if any(rule in line for rule in rules)]
    assert faults and all(line.split(":")[0].startswith(place) for line in faults)
    assert all(int(line.split(":")[1].split()[0]) > 0 for line in faults), faults
    assert all(t in said.out for t in told), said.out
    assert "Traceback" not in said.out + said.err and out.read_bytes() == OLD
    site = tmp_path / "site"
    site.mkdir()
    (site / ".earleaf-site").write_text("mine")
    (site / "index.html").write_text("the last good site")
    assert cli.main(["build", "--plain", "-m", str(path), "--out", str(site)]) == 1
    assert (site / "index.html").read_text() == "the last good site" and len(list(site.iterdir())) == 2
    built = capsys.readouterr().out
    assert any(rule in built for rule in rules)


@pytest.mark.parametrize(
    ("file", "old"), [(CORN, "name: Corn"), (LAB, "name: Stonewell Leaf Lab"), (PARTS, "name: the ear leaf")]
)
def test_a_long_word_is_refused_or_stays_on_the_card(file: str, old: str, tmp_path: Path, out: Path) -> None:
    """A word that cannot be broken must not run over the cut: its end would be lost, or lie on the next card."""
    path = manual(tmp_path, file, old, f"name: {LONG_WORD}")
    code = ask(path, out, "--crop", "corn/silk", *(["--lab", "stonewell"] if file == LAB else []))
    assert code in (0, 1)
    if code == 0:
        inside(Paper.read(out))


LITERAL = [
    'The "Best" Lab',
    "Lab #1 #pagebreak()",
    "*Bold* _and_ `raw`",
    "Lab $x$ [b] {c}",
    "A \\ B // C /* D */",
    "<b>Lab</b> & Co.",
    "@lab ~ -- ---",
    "= Lab",
    "#{sys.inputs}",
]


@pytest.mark.parametrize("name", LITERAL)
def test_marks_in_a_name_are_printed_as_they_are(name: str, tmp_path: Path, out: Path) -> None:
    """Nothing in the data is read as markup of the typesetter."""
    quoted = name.replace("\\", "\\\\").replace('"', '\\"')
    path = manual(tmp_path, LAB, "name: Stonewell Leaf Lab", f'name: "{quoted}"')
    assert ask(path, out, "--lab", "stonewell", "--crop", "corn/silk") == 0
    paper = Paper.read(out)
    assert len(paper) == 1 and bare(name) in joined(paper.letters)


def test_a_long_address_stays_on_the_card(tmp_path: Path, out: Path) -> None:
    """All of it is printed inside the live area, or the card is refused."""
    site = "https://a-rather-long-name-of-a-team.extension.university.example/manuals/tissue/"
    code = ask(manual(tmp_path, "manual.yml", "https://manual.fernhollow.example/", site), out, "--crop", "corn/silk")
    assert code in (0, 1)
    if code == 0:
        inside(Paper.read(out))
        assert bare(site.split("://")[1]) in joined(Paper.read(out).letters)


def inside(paper: Paper) -> None:
    """All letters lie in the 82.5 mm that are printed on."""
    edge = (paper.pages_mm[0][0] - 82.5) / 2 - 0.05
    assert min(x.left for x in paper.letters) * POINT_MM >= edge
    assert max(x.right for x in paper.letters) * POINT_MM <= paper.pages_mm[0][0] - edge
