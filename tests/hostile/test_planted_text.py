"""Pieces of program in every free text of every kind of file: on pages, cards, in feeds and data they are mere text.

The marks say where each text came out; a field that comes out nowhere is listed here with the reason.
"""
# ruff: noqa: E501  (the data below is written as its authors write it, one record a line)

from __future__ import annotations

import csv
import json
import re
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from urllib.parse import quote
from zipfile import ZipFile

import pypdfium2
import pytest
from icalendar import Calendar
from lxml import etree, html
from planted import LONG, NAMES_SOMETHING, SHORT, every_free_field, planted_files
from trial import watched
from whole_manual import FEEDS, FILES, LANGUAGE, MANUAL, PLANTINGS, SEEN, TERMS, TODAY

from earleaf.database.manual import ManualDatabase
from earleaf.site.build import Prepared, build_plain, prepare
from earleaf.site.cache import Cache
from earleaf.site.cards import CannotBuild
from earleaf.site.mkdocs_shell import build_mkdocs
from earleaf.site.offline import Wanted, make_copy
from earleaf.site.private import Asked, make_season
from pseudo_language import CODE, second_language
from small_manual import write

IN_TRANSLATION = " Zqinpoqz\"><script>__planted=self</script><img src=x onerror=__planted=self>'$x$%s#panic*_@b"
"""A translation holds the places of its sentence and no other, so no braces here."""
MARK = re.compile(rb"Zq[a-z]{3}qZ")
_TIMING = "of the timing model, for whoever keeps it; the page tells its dates"
NOT_SHOWN = {
    **dict.fromkeys(("Adjustment.what", "Calendar.place", "Leg.leg", "Leg.note", "Need.at", "Need.how", "Pace.how"),
                    _TIMING),
    **dict.fromkeys(("Event.summary", "Event.description"), "a dropped event is told anew, from its ids"),
    "Event.place": "what a team calls its field; remembered, never printed",
    "Crop.card": "on cards only, which have a test of their own",
    "Group.about": "for whoever keeps the database",
    "Language.joined": "put in place of words that meet, and these never do",
    "Manual.contact": "stays at home",
}  # fmt: skip
MKDOCS = """\
site_name: from manual.yml
docs_dir: docs
theme: {name: material, font: false}
plugins: [search, {earleaf: {manual: manual.yml, cards: false}}]
"""


@dataclass(frozen=True)
class Built:
    """The outputs of the planted manual, and the marks with the field of each."""

    manual: Path
    plain: Path
    themed: Path
    own: Path
    copy: Path
    marks: dict[str, str]

    @property
    def folders(self) -> tuple[Path, ...]:
        return self.plain, self.themed, self.own

    def files(self, *endings: str) -> Iterator[tuple[str, bytes]]:
        """Every file of all outputs that ends so."""
        for folder in self.folders:
            for path in sorted(folder.rglob("*")):
                if path.is_file() and path.name.endswith(endings or ("",)):
                    yield f"{folder.name}/{path.relative_to(folder)}", path.read_bytes()


def planted(folder: Path, text: str) -> tuple[Path, Prepared, dict[str, str]]:
    """The manual with `text` in every field, in English and in the made-up language."""
    files, marks = planted_files(text)
    own = {name: files.pop(name) for name in (LANGUAGE, TERMS)}
    manual = write(folder, files)
    second_language(manual, TODAY, translate=lambda sentence: sentence + IN_TRANSLATION)
    for name, content in own.items():
        (folder / name).write_text(content, "utf-8")
    prepared = prepare(manual, TODAY)
    assert not prepared.errors, "\n".join(map(str, prepared.errors))
    return manual, prepared, marks


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Built:
    folder = tmp_path_factory.mktemp("planted")
    manual, prepared, marks = planted(folder / "manual", LONG)
    assert prepared.manual is not None and isinstance(prepared.db, ManualDatabase)
    build_plain(prepared, folder / "plain")
    english = write(folder / "english", {k: v for k, v in planted_files(LONG)[0].items() if k not in (LANGUAGE, TERMS)})
    (english.parent / "mkdocs.yml").write_text(MKDOCS, "utf-8")
    build_mkdocs(english, folder / "themed", cards=False)
    home = manual.parent
    make_season(prepared.db, prepared.manual, Asked(manual, home / PLANTINGS, home / SEEN, folder / "own", TODAY))
    make_copy(prepared, Wanted(None, (), None), folder / "copy.zip", None)
    return Built(manual, folder / "plain", folder / "themed", folder / "own", folder / "copy.zip", marks)


def test_every_free_text_of_every_record_is_planted_or_names_something(built: Built) -> None:
    free, there = every_free_field(), set(built.marks.values())
    assert sorted(free - there - set(NAMES_SOMETHING)) == []
    assert sorted(there - free) == [] and sorted(set(NAMES_SOMETHING) - free) == []
    assert len(there) > 100 and len(built.marks) > 300


def test_every_planted_text_comes_out_or_is_listed(built: Built) -> None:
    found = {mark.decode() for _, content in built.files() for mark in MARK.findall(content)}
    shown = {built.marks[mark] for mark in found if mark in built.marks}
    assert sorted(set(built.marks.values()) - shown) == sorted(NOT_SHOWN)
    both = [n for n, content in built.files(".html") if b"Zqinpoqz" in content]
    assert len(both) > 40


def own_scripts(document: html.HtmlElement) -> Iterator[str]:
    for script in document.iter("script"):
        if script.get("type") != "application/ld+json" and not script.get("src"):
            yield script.text or ""


def test_no_planted_text_is_an_element_an_attribute_or_a_script(built: Built) -> None:
    """What the parser of a browser would make of each page: no element or attribute of the planted text is there."""
    pages = 0
    for name, content in built.files(".html"):
        document = html.document_fromstring(content.decode("utf-8"))
        for element in document.iter(etree.Element):
            assert element.tag != "img" or element.get("src") != "x", name
            assert not [key for key in element.attrib if key.startswith("on")], (name, element.tag)
            for key in ("href", "src"):
                assert not re.match(r"\s*(javascript|data|vbscript):", element.get(key) or "", re.I), (
                    name,
                    element.attrib,
                )
        assert not [s for s in own_scripts(document) if "Zq" in s and '"><script>' in s.replace("\\", "")], name
        assert not [s for s in document.iter("script") if (s.text or "").strip() == "__planted=self"], name
        assert not document.xpath("//comment()[contains(., 'Zq')]"), name
        pages += 1
    assert pages > 80


def test_templates_and_formats_leave_the_text_as_it_is(built: Built) -> None:
    """`{{language}}`, `{language}` and `%s` stand on the pages letter by letter: nothing filled them in."""
    whole = 0
    for name, content in built.files(".html"):
        text = " ".join(html.document_fromstring(content.decode("utf-8")).itertext())
        for found in re.finditer(r"Zq[a-z]{3}qZ(?=\"><s)", text):
            rest = text[found.end() : found.end() + len(LONG)]
            same = next((i for i, (a, b) in enumerate(zip(rest, LONG, strict=False)) if a != b), len(rest))
            assert same == len(LONG) or rest[same] in "… ;:.,", (name, rest)  # cut short, never changed
            whole += same == len(LONG)
    assert whole > 500


def test_json_holds_the_texts_as_they_were_given(built: Built) -> None:
    files = 0
    for name, content in built.files(".json"):
        values = json.dumps(json.loads(content), ensure_ascii=False)
        for found in re.finditer(r"Zq[a-z]{3}qZ(.{12})", values):
            assert found.group(1).startswith(
                ('\\"><script', '\\"&gt;&lt;', '\\"><u', "&#34;&gt;", "&quot;&gt;", '\\">', " ")
            ), (
                name,
                found.group(),
            )
        files += 1
    assert files > 20


def test_linked_data_cannot_end_its_script(built: Built) -> None:
    seen = 0
    for name, content in built.files(".html"):
        for script in html.document_fromstring(content.decode("utf-8")).xpath("//script[@type='application/ld+json']"):
            json.loads(script.text)
            assert "<" not in script.text, name
            seen += "Zq" in script.text
    assert seen > 5


def test_xml_of_feeds_maps_and_drawings_is_well_formed(built: Built) -> None:
    seen = 0
    for _, content in built.files(".xml", ".atom", ".svg"):
        root = etree.fromstring(content)
        assert not root.xpath("//*[local-name()='script']")
        seen += b"Zq" in content
    assert seen >= 1


def test_calendars_are_read_back_as_given(built: Built) -> None:
    """RFC 5545: quotes, commas, semicolons and backslashes come back; no line of ours is a new property."""
    marks: set[str] = set()
    for name, content in built.files(".ics"):
        for event in Calendar.from_ical(content).walk("VEVENT"):
            for key in ("SUMMARY", "DESCRIPTION"):
                text = str(event.get(key, ""))
                assert not re.search(r"Zq[a-z]{3}qZ(?!\"><|\\|\b)", text), (name, text)
                marks |= set(re.findall(r"Zq[a-z]{3}qZ", text))
            assert set(event) <= {"UID", "DTSTAMP", "LAST-MODIFIED", "DTSTART", "DTEND", "SEQUENCE", "STATUS", "TRANSP",
                                  "SUMMARY", "DESCRIPTION", "URL", "CATEGORIES", "LOCATION"}, name  # fmt: skip
    assert {"Crop.name", "Protocol.title", "Lab.name", "Planting.field"} <= {built.marks[m] for m in marks}


def test_the_copy_to_carry_holds_no_script_of_the_texts(built: Built) -> None:
    with ZipFile(BytesIO(built.copy.read_bytes())) as packed:
        pages = [name for name in packed.namelist() if name.endswith(".html")]
        assert len(pages) > 20 and not [n for n in packed.namelist() if n.startswith("/") or ".." in n.split("/")]
        for name in pages:
            document = html.document_fromstring(packed.read(name).decode("utf-8"))
            assert not [s for s in document.iter("script") if (s.text or "").strip() == "__planted=self"], name
            assert not document.xpath("//img[@src='x']"), name
        for name in packed.namelist():
            if name.endswith(".js") and b"Zq" in packed.read(name):
                assert name.startswith("search/") or "/search/" in name, name  # a list in a file, not in a page


@pytest.mark.parametrize(
    ("file", "old", "evil"),
    [
        ("protocols/evidence/sampling.csv", "seedlings", "=HYPERLINK(A)"),
        ("protocols/evidence/handling.csv", ",paper,,uni-a", ",@SUM(A),,uni-a"),
        ("protocols/evidence/timing.csv", "coming up", "+cmd|x"),
    ],
)
def test_no_published_cell_begins_as_a_formula(tmp_path: Path, file: str, old: str, evil: str) -> None:
    """A spreadsheet works out a cell that begins with = + - or @ (OWASP, CSV injection). No such row is taken."""
    files = dict(FILES) | {file: FILES[file].replace(old, evil, 1)}
    prepared = prepare(write(tmp_path, files), TODAY)
    assert any(f.rule == "bad-cell" and f.file == file and "formula" in f.message for f in prepared.errors)


def test_no_citation_begins_as_a_formula(tmp_path: Path) -> None:
    files = dict(FILES)
    files["protocols/sources.yml"] = files["protocols/sources.yml"].replace(
        "authors: A. Writer", 'authors: "=HYPERLINK(A)"'
    )
    prepared = prepare(write(tmp_path / "manual", files), TODAY)
    assert not prepared.errors, prepared.errors
    build_plain(prepared, tmp_path / "site")
    tables = list((tmp_path / "site").rglob("*.csv"))
    assert len(tables) >= 2 and any("HYPERLINK" in path.read_text("utf-8") for path in tables)
    for path in tables:
        for row in csv.reader(path.read_text("utf-8").splitlines()):
            bad = [
                cell
                for cell in row
                if cell.startswith(("=", "+", "-", "@", "\t")) and not re.fullmatch(r"-?[\d.]+", cell)
            ]
            assert not bad, (path.name, bad)


def test_cards_and_records_print_the_texts_letter_by_letter(tmp_path: Path) -> None:
    """Typst would run #a, set $ as mathematics, * as bold and @b as a reference. On paper all of them stand as letters."""
    files, marks = planted_files(SHORT)
    files[MANUAL] = files[MANUAL].replace("labs:\n- stonewell\n", "labs: []\n")  # its name makes a title too long
    for name in (LANGUAGE, TERMS):
        files.pop(name, None)
    prepared = prepare(write(tmp_path / "manual", files), TODAY)
    assert not prepared.errors, prepared.errors
    try:
        build_plain(prepared, tmp_path / "site", Cache(tmp_path / "cache"))
    except CannotBuild as error:
        raise AssertionError("\n".join(map(str, error.findings))) from error
    seen: set[str] = set()
    for path in sorted((tmp_path / "site").rglob("*.pdf")):
        document = pypdfium2.PdfDocument(path)
        text = "".join("".join(page.get_textpage().get_text_bounded().split()) for page in document)
        for found in re.finditer(r"(Zq[a-z]{3}qZ)(.{5})", text):
            assert found.group(2).startswith(("#[$*@", '"><u')), (path.name, found.group())
            seen.add(marks[found.group(1)])
    assert {"Crop.name", "CardLines.see", "CardLines.how", "CardLines.title", "Caution.card"} <= seen, sorted(seen)


CHAPTERS = (
    ("<script>alert(1)</script>", "<script>"),
    ("A <img src=x onerror=alert(1)> b", "onerror"),
    ("[a](javascript:alert(1))", "javascript:alert(1)"),
    ("[a](java&#115;cript:alert(1))", "javascript:alert(1)"),
    ("[a](<java\tscript:alert(1)>)", "java"),
    ("[a]\n\n[a]: data:text/html,x", "data:text/html,x"),
    ("## Head {: onclick=alert(1) }", "onclick"),
    ("<svg><animate onbegin=alert(1)></svg>", "<svg>"),
    ("<iframe src='https://x.example/'></iframe>", "<iframe>"),
    ("<p style='position:fixed'>x</p>", "style"),
    ("<form action='https://x.example/'><input></form>", "<form>"),
    ("<base href='https://x.example/'>", "<base>"),
    ("<meta http-equiv=refresh content=1>", "<meta>"),
    ("<!DOCTYPE x>", "<!DOCTYPE"),
    ("<a href=' JAVASCRIPT:alert(1)'>a</a>", "JAVASCRIPT:alert(1)"),
    ("<scr<script>ipt>alert(1)</script>", "<scr"),
)


@pytest.mark.parametrize(("text", "what"), CHAPTERS, ids=[what for _, what in CHAPTERS])
def test_a_chapter_that_would_run_or_load_something_is_refused(tmp_path: Path, text: str, what: str) -> None:
    """Markdown lets HTML through, so a chapter is the one text that could hold a program."""
    files = {name: content for name, content in FILES.items() if name not in (LANGUAGE, TERMS)}
    files["docs/more.md"] = f"# More\n\nFirst.\n\n{text}\n"
    found = prepare(write(tmp_path, files), TODAY).errors
    assert found and {(f.rule, f.file) for f in found} == {("chapter", "docs/more.md")}
    assert any(what in f.message for f in found), found
    assert 0 in {f.line for f in found} or {f.line for f in found} & {3, 5, 7}


def test_a_chapter_keeps_plain_markup_and_loses_remarks(tmp_path: Path) -> None:
    """Tables, boxes, links to pages and to the web are fine; a remark is for those who write and never goes out."""
    files = {name: content for name, content in FILES.items() if name not in (LANGUAGE, TERMS)}
    files["docs/more.md"] = (
        "# More & <b>more</b>\n\n<!-- ask Ann about the fee -->\n\n<div class='box' markdown='1'>\n\nA *word* [a](index.md), "
        "[b](https://x.example/a?b=1&c=2), [c](#more), <https://y.example/>.\n\n</div>\n\n| a | b |\n|---|---|\n| `<i>` | 1 < 2 |\n"
    )
    prepared = prepare(write(tmp_path / "manual", files), TODAY)
    assert not prepared.errors, prepared.errors
    build_plain(prepared, tmp_path / "site")
    page = (tmp_path / "site/more/index.html").read_text("utf-8")
    assert "ask Ann" not in page and '<div class="box">' in page and "https://x.example/a?b=1&amp;c=2" in page
    assert not [p for p in (tmp_path / "site").rglob("*") if p.is_file() and b"ask Ann" in p.read_bytes()]


TRAP = "window.__said = []; window.addEventListener('error', e => window.__said.push(String(e.message)));"
QUIET = ("favicon", "Failed to load resource")


@pytest.mark.browser
def test_nothing_planted_runs_in_a_browser(built: Built) -> None:
    """Pages of every kind in both shells, an embed, the page to keep the manual, and a search for the text itself.

    In a thread of its own, for the browser tests of the same run keep a loop in this one.
    """
    with ThreadPoolExecutor(1) as apart:
        assert apart.submit(visited, built).result() > 50


def visited(built: Built) -> int:
    """Open the pages, and look for what ran; the number of pages."""
    playwright = pytest.importorskip("playwright.sync_api")
    import sys

    sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "browser"))
    from serving import served
    from visiting import launched

    pages = ["", "crops/", "crops/corn/", "crops/corn/silk/", "labs/", "labs/stonewell/", "labs/stonewell/crops/corn/silk/", "stages/corn-stages/",
             "sources/", "guide/", "more/", "calendars/", "calendars/corn/", "changes/", "data/", "offline/", "embed/", "drawings/", "terms/"]  # fmt: skip
    wanted = quote('"><script>__planted=self</script>')
    with playwright.sync_playwright() as play, served(built.plain.parent) as place:
        browser = launched(play)
        page = browser.new_page()
        page.add_init_script(TRAP)
        said: list[str] = []
        page.on("dialog", lambda dialog: (said.append(dialog.message), dialog.dismiss()))
        page.on(
            "console", lambda m: said.append(m.text) if m.type == "error" and not m.text.startswith(QUIET) else None
        )
        page.on("pageerror", lambda error: said.append(str(error)))
        seen = 0
        for shell, folder in (("plain", built.plain), ("themed", built.themed)):
            there = [
                p
                for edition in ("", f"{CODE}/")
                for p in (edition + one for one in pages)
                if (folder / p / "index.html").exists()
            ]
            embeds = sorted(
                p.parent.relative_to(folder).as_posix() + "/" for p in (folder / "embed").rglob("index.html")
            )[1:4]
            searches = [f"search/?q={wanted}"] if shell == "plain" else ["?ask"]
            for one in [*there, *embeds, *searches]:
                page.goto(f"{place}{shell}/{one}")
                page.wait_for_load_state("load")
                if one == "?ask":
                    page.locator(".md-search__input").focus()
                    page.keyboard.type("corn")
                    page.wait_for_function(
                        "document.querySelector('.md-search-result__meta')?.textContent.match(/match/)"
                    )
                elif "?" in one:
                    page.wait_for_selector("#pl-hits li", timeout=60_000, state="attached")
                assert page.evaluate("typeof window.__planted") == "undefined", (shell, one)
                assert page.evaluate("document.querySelector('img[src=\"x\"]')") is None, (shell, one)
                assert not (bad := [*said, *page.evaluate("window.__said")]), (shell, one, bad)
                seen += 1
        page.goto(f"{place}own/index.html")
        assert page.evaluate("typeof window.__planted") == "undefined" and not said
        browser.close()
    return seen


def test_the_trap_of_the_browser_test_works(tmp_path: Path) -> None:
    """The same texts, not escaped, would be an element and an attribute for the parser that the tests use."""
    document = html.document_fromstring(f"<p>{LONG}</p>")
    assert document.xpath("//img[@src='x']") and [s for s in document.iter("script") if s.text == "__planted=self"]
    with watched(1):
        assert FEEDS and MANUAL
