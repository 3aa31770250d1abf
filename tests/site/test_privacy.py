"""Nothing private in the published site, and everything invented says so."""

from __future__ import annotations

import re

from site_tree import SiteTree, report, words_of

from earleaf.database.load import Database
from earleaf.site.build import Prepared

MAIL = re.compile(r"[A-Za-z0-9._%+-]+@[A-Za-z0-9-]+\.[A-Za-z]{2,}|mailto:")
PHONE = re.compile(r"(?<![\d/.–-])(?:\+\d{1,3}[ .-]?)?\(?\d{3}\)?[ .-]\d{3}[ .-]\d{4}(?![\d–-])|\btel:|\+\d{7,}")
POSITION = re.compile(
    r"-?\d{1,3}\.\d{4,}\s*[,;/ ]\s*-?\d{1,3}\.\d{4,}|\d{1,3}\s*°\s*\d{1,2}\s*['′’]|\b[NS] ?\d{1,2}\.\d{3,}\b"
    r"|\bgeo:|\"(?:lat|lon|latitude|longitude)\"",
    re.I,
)
TEXTS = (".html", ".json", ".js", ".txt", ".css", ".xml", ".svg")


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
    assert not (bad := found(site, POSITION)), report(bad)


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


def test_no_comment_in_the_html(site: SiteTree) -> None:
    bad = [(n, str(c)[:60]) for n, page in site.html_files.items() for c in page.xpath("//comment()")]
    assert not bad, report(bad)


def test_the_contact_is_not_on_a_page_of_the_demo(site: SiteTree, demo: Prepared) -> None:
    assert demo.manual is not None
    contact = demo.manual.contact
    assert contact is None or all(contact not in t for t in published(site).values())


def test_only_the_shipped_kinds_of_files(site: SiteTree) -> None:
    """Paper and its pictures lie below cards/, feeds below calendars/, and nowhere else."""
    other = [
        n
        for n in site.files
        if not n.endswith((*TEXTS, ".woff2"))
        and n != ".earleaf-site"
        and not (n.startswith("cards/") and n.endswith((".pdf", ".png")))
        and not (n.startswith("calendars/") and n.endswith(".ics"))
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
    """No page for any lab rests on an invented source."""
    made_up = {s.id for s in manual_db.sources.values() if s.invented}
    bad = [
        (a, s)
        for a, page in site.pages.items()
        if not a.startswith("labs/") and a != "sources/"
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
