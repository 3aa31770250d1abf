"""Nothing private in the published site, and everything invented says so."""

from __future__ import annotations

import csv
import re
import socket
import subprocess
import sys
from collections.abc import Iterable, Mapping
from datetime import date
from pathlib import Path

import pytest
from site_tree import SiteTree, report, words_of

from earleaf.database.load import Database
from earleaf.site.build import Prepared
from earleaf.site.private import Asked, make_season

MAIL = re.compile(r"[A-Za-z0-9._%+-]+@[A-Za-z0-9-]+\.[A-Za-z]{2,}|mailto:")
PHONE = re.compile(r"(?<![\d/.–-])(?:\+\d{1,3}[ .-]?)?\(?\d{3}\)?[ .-]\d{3}[ .-]\d{4}(?![\d–-])|\btel:|\+\d{7,}")
POSITION = re.compile(
    r"-?\d{1,3}\.\d{4,}\s*[,;/ ]\s*-?\d{1,3}\.\d{4,}|\d{1,3}\s*°\s*\d{1,2}\s*['′’]|\b[NS] ?\d{1,2}\.\d{3,}\b"
    r"|\bgeo:|\"(?:lat|lon|latitude|longitude)\"",
    re.I,
)
TEXTS = (".html", ".json", ".js", ".txt", ".css", ".xml", ".svg", ".csv", ".atom")
LISTS = Path(__file__).resolve().parents[2] / "demo_scenario"


def published(site: SiteTree) -> dict[str, str]:
    """Every text file of the site. The font licence names its own authors and is left out."""
    return {n: b.decode("utf-8") for n, b in site.files.items() if n.endswith(TEXTS) and not n.endswith("OFL.txt")}


def found(site: SiteTree, pattern: re.Pattern[str]) -> list[object]:
    return [(n, m.group()) for n, t in published(site).items() for m in [pattern.search(t)] if m]


def test_no_mail_address(site: SiteTree) -> None:
    assert not (bad := found(site, MAIL)), report(bad)


def test_no_telephone_number(site: SiteTree) -> None:
    assert not (bad := found(site, PHONE)), report(bad)


def test_no_position(site: SiteTree) -> None:
    """The names of keys in a schema are no position."""
    bad = [(n, m) for n, m in found(site, POSITION) if not n.startswith("data/v1/schema/")]  # type: ignore[misc]
    assert not bad, report(bad)


def test_the_patterns_find_what_they_look_for() -> None:
    assert MAIL.search("write to ann@farm.example now")
    assert PHONE.search("call 555 010 1234") and PHONE.search("+4915112345678")
    assert POSITION.search("at 45.12345, -93.54321") and POSITION.search("45° 12' N")
    assert not PHONE.search("20 to 30 leaves, 2026-11-25") and not POSITION.search("55 °C for 12 hours")


def test_nothing_marked_private_is_published(site: SiteTree) -> None:
    """Comments of the YAML files, private notes and the manual's contact stay at home."""
    words = re.compile(r"\bprivate\b|\bconfidential\b|\bdo not publish\b|\bTODO\b|\bFIXME\b", re.I)
    bad = [
        (n, m.group())
        for n, t in published(site).items()
        if not n.startswith("data/v1/schema/")
        for m in [words.search(t)]
        if m
    ]
    assert not bad, report(bad)


def test_no_file_tells_of_the_machine(site: SiteTree, root: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    """Neither its folders nor, where it is long enough to be no accident, its name."""
    told = [str(root), str(tmp_path_factory.getbasetemp()), sys.prefix, f"{Path.home()}/"]
    told += [name for name in (socket.gethostname(),) if len(name) > 7]
    bad = [(n, text) for n, content in site.files.items() for text in told if text.encode() in content]
    assert not bad, report(bad)


def test_no_comment_in_the_html(site: SiteTree) -> None:
    bad = [(n, str(c)[:60]) for n, page in site.html_files.items() for c in page.xpath("//comment()")]
    assert not bad, report(bad)


def test_the_contact_is_not_on_a_page_of_the_demo(site: SiteTree, demo: Prepared) -> None:
    assert demo.manual is not None
    contact = demo.manual.contact
    assert contact is None or all(contact not in t for t in published(site).values())


def test_only_the_shipped_kinds_of_files(site: SiteTree) -> None:
    """Paper and its pictures lie below cards/, feeds and sheets below calendars/, and nowhere else."""
    other = [
        n
        for n in site.files
        if not n.endswith((*TEXTS, ".woff2"))
        and n != ".earleaf-site"
        and not (n.startswith("cards/") and n.endswith((".pdf", ".png")))
        and not (n.startswith("calendars/") and n.endswith((".ics", ".pdf")))
    ]
    assert not other, report(other)


def test_a_demonstration_says_so_on_every_page(site: SiteTree) -> None:
    lost = [
        a
        for a, page in site.pages.items()
        if "invented" not in " ".join(words_of(e) for e in page.find_class("pl-demo")).lower()
    ]
    assert not lost, report(lost)


def test_invented_labs_say_so_on_their_pages(site: SiteTree, manual_db: Database) -> None:
    for lab in manual_db.labs.values():
        assert lab.invented
        said = words_of(site.main(f"labs/{lab.lab}/")).lower()
        assert "invented" in said
        row = site.main("labs/").xpath(f".//li[a/@href='../labs/{lab.lab}/']")
        assert row and "invented" in words_of(row[0]).lower()


def test_sources_of_invented_labs_say_so(site: SiteTree, manual_db: Database) -> None:
    for source in manual_db.sources.values():
        if source.invented:
            entry = site.main("sources/").xpath(f".//*[@id='{source.id}']")
            assert entry and "invented" in words_of(entry[0]).lower(), source.id


def test_invented_sources_stand_behind_labs_only(site: SiteTree, manual_db: Database) -> None:
    """No page for any lab rests on an invented source. The lines to copy of each crop are there for each lab."""
    made_up = {s.id for s in manual_db.sources.values() if s.invented}
    bad = [
        (a, s)
        for a, page in site.pages.items()
        if not a.startswith(("labs/", "embed/")) and a != "sources/"
        for v in page.xpath("//main//@data-source")
        for s in v.split()
        if s in made_up
    ]
    assert not bad, report(bad)


def test_no_name_of_a_lab_on_pages_for_any_lab_but_in_links(site: SiteTree, manual_db: Database) -> None:
    names = [lab.name for lab in manual_db.labs.values()]
    bad = [
        (a, node.text)
        for a in site.pages
        if a.startswith("crops/")
        for node in site.texts(a)
        if any(n in node.text for n in names) and not node.in_tag("a")
    ]
    assert not bad, report(bad)


def test_no_rate_is_prescribed(site: SiteTree) -> None:
    """The manual tells how to sample; it gives no dose of fertiliser or pesticide."""
    rate = re.compile(
        r"\d+(?:\.\d+)? ?(?:lb|lbs|pounds?|kg|kilograms?|gal|gallons?|l|litres?|oz|pt|qt)\.?"
        r"(?: [A-Z][A-Za-z0-9]*)? ?(?:/|per |an |a )(?:ac|acre|ha|hectare|1000|tree)\b",
        re.I,
    )
    bad = [(a, m.group()) for a, page in site.pages.items() for m in [rate.search(words_of(site.main(a)))] if m]
    assert not bad, report(bad)


@pytest.fixture(scope="module")
def own_words() -> set[str]:
    """All that the demonstration's own lists name: plantings, fields, scouts."""
    words = set()
    for name in ("plantings.csv", "seen.csv"):
        with (LISTS / name).open(encoding="utf-8", newline="") as rows:
            words |= {row[key] for row in csv.DictReader(rows) for key in ("id", "field", "scout") if row.get(key)}
    return words


def traces(files: Mapping[str, bytes], words: Iterable[str]) -> list[tuple[str, str]]:
    """Each file that holds one of the words, whole, in large or small letters, with spaces or as in a link."""
    spaced = (re.escape(word).replace(r"\ ", r"(?:\s|%20|\+|-|_)+") for word in sorted(words))
    pattern = re.compile(rf"(?<![a-z0-9])(?:{'|'.join(spaced)})(?![a-z0-9])".encode(), re.I)
    return [
        (name, found[0].decode()) for name, content in files.items() for found in [pattern.search(content)] if found
    ]


def test_nothing_of_the_teams_own_lists_is_published(site: SiteTree, own_words: set[str]) -> None:
    assert len(own_words) > 25
    texts = {name: content for name, content in site.files.items() if name.endswith((*TEXTS, ".ics", ".earleaf-site"))}
    assert len(texts) > 1000 and any(name.endswith(".ics") for name in texts)
    assert not (bad := traces(texts, own_words) + [(n, n) for n in site.files if traces({n: n.encode()}, own_words)]), (
        report(bad)
    )


def test_the_search_for_traces_finds_them(demo: Prepared, own_words: set[str], tmp_path: Path) -> None:
    """Each word is found in the own folder, and one that slipped into a public page, a feed or a link would be."""
    assert demo.manual is not None
    asked = Asked(
        LISTS / "manual.yml", LISTS / "plantings.csv", LISTS / "seen.csv", tmp_path / "own", date(2027, 6, 14)
    )
    make_season(demo.db, demo.manual, asked)
    folder = {path.name: path.read_bytes() for path in (tmp_path / "own").iterdir()}
    unseen = [word for word in own_words if not traces(folder, [word])]
    assert unseen == []
    for slip in (b"<td>Otterpond North</td>", b"SUMMARY:otter-1", b"/scouts/fern-invented/", b"q=Saltlick%20corner"):
        assert traces({"page": b"<p>" + slip + b"</p>"}, own_words), slip
    assert not traces({"page": b"otter-10, hay-12, clay-1, fern, north"}, own_words)


def test_what_builds_the_public_site_does_not_know_the_lists() -> None:
    """No module that reads the team's lists is loaded by either shell."""
    code = "import sys, earleaf.site.build, earleaf.site.mkdocs_shell; print('\\n'.join(sys.modules))"
    loaded = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.split()
    assert "earleaf.site.tree" in loaded
    private = ("planting_list", "own_model", "own_season", "own_feeds", "private", "maturity")
    assert [name for name in loaded if name.startswith("earleaf.") and name.endswith(private)] == []
